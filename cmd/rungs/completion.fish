# Completion of rungs in fish. It asks the program what may come next.
function __rungs_complete
	set -l before (commandline -opc)
	set -l current (commandline -ct)
	set -l program $before[1]
	set -e before[1]
	set -l said ($program completion words $before "$current" 2>/dev/null)
	set -l kind $said[1]
	set -e said[1]
	for line in $said
		echo $line
	end
	switch "$kind"
		case files
			__fish_complete_path (string replace -r '^--[^=]*=' '' -- "$current")
		case folders
			__fish_complete_directories (string replace -r '^--[^=]*=' '' -- "$current")
	end
end
complete -c rungs -f -a '(__rungs_complete)'
