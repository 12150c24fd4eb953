# Completion of rungs in bash, version 3.2 and later. It asks the program what
# may come next.
_rungs() {
	local words=() word kind='' line i
	for ((i = 0; i <= COMP_CWORD; i++)); do
		word=${COMP_WORDS[i]}
		# bash takes --flag=value apart at the equals sign.
		if [[ $i -gt 1 && $word == = && ${words[${#words[@]}-1]} == --* ]]; then
			words[${#words[@]}-1]+='='
			continue
		fi
		# What has been typed still has its quotation marks.
		word=${word//[\"\'\\]/}
		[[ $word == '~/'* ]] && word=$HOME/${word#'~/'}
		if [[ $i -gt 1 && ${words[${#words[@]}-1]} == --*= ]]; then
			words[${#words[@]}-1]+=$word
		else
			words+=("$word")
		fi
	done
	local current=${words[${#words[@]}-1]} typed=${COMP_WORDS[COMP_CWORD]}
	COMPREPLY=()
	while IFS= read -r line; do
		if [[ -z $kind ]]; then
			kind=$line
			continue
		fi
		word=${line%%$'\t'*}
		[[ $current == --*=* ]] && word=${word#"${current%%=*}="}
		COMPREPLY+=("$word")
	done < <("${words[0]}" completion words "${words[@]:1}" 2>/dev/null)
	[[ $typed == = ]] && typed=''
	case $kind in
	files | folders)
		# Without words bash itself completes names, quotation marks and all.
		[[ ${#COMPREPLY[@]} -eq 0 ]] && return
		compopt -o filenames 2>/dev/null
		local what=-f
		[[ $kind == folders ]] && what=-d
		while IFS= read -r line; do
			COMPREPLY+=("$line")
		done < <(compgen "$what" -- "$typed")
		;;
	*)
		compopt +o bashdefault +o default 2>/dev/null
		;;
	esac
}
complete -o bashdefault -o default -F _rungs rungs
