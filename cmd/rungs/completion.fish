# Completion of rungs in fish. It asks the program what may come next.
function __rungs_complete
	set -l before (commandline -opc)
	set -l raw (commandline -ct)
	# What has been typed still has its quotation marks.
	set -l current (string unescape -- "$raw"; or string trim -l -c '"\'' -- "$raw")
	set -l program $before[1]
	set -e before[1]
	set -l said ($program completion words $before "$current" 2>/dev/null)
	set -l kind $said[1]
	set -e said[1]
	for line in $said
		echo $line
	end
	set -l flag ''
	if string match -qr '^--[^=]*=' -- "$current"
		set flag (string replace -r '=.*' '=' -- "$current")
		set current (string replace -r '^[^=]*=' '' -- "$current")
	end
	set -l names
	switch "$kind"
		case files
			set names (string replace -r '^~/' $HOME/ -- "$current")*
		case folders
			set names (string replace -r '^~/' $HOME/ -- "$current")*/
	end
	for name in $names
		test -d $name; and set name (string trim -r -c / -- $name)/
		if string match -q '~/*' -- "$current"
			set name (string replace -- $HOME/ '~/' $name)
		end
		echo $flag$name
	end
end
complete -c rungs -f -a '(__rungs_complete)'
