#compdef rungs
# Completion of rungs in zsh. It asks the program what may come next.
_rungs() {
	local program=${(Q)words[1]} kind line
	local -a before said proposals
	before=("${(@Q)words[2,CURRENT-1]}")
	before=("${(@)before/#\~\//$HOME/}")
	said=("${(@f)$(${~program} completion words "${(@)before}" "${(Q)PREFIX}" 2>/dev/null)}")
	kind=$said[1]
	for line in "${(@)said[2,-1]}"; do
		if [[ $line == *$'\t'* ]]; then
			proposals+=("${${line%%$'\t'*}//:/\\:}:${line#*$'\t'}")
		else
			proposals+=("${line//:/\\:}")
		fi
	done
	local found=1
	if (( $#proposals )); then
		_describe -t words 'rungs' proposals && found=0
	fi
	if [[ $kind == files || $kind == folders ]]; then
		compset -P '--*='
		if [[ $kind == files ]]; then
			_files && found=0
		else
			_files -/ && found=0
		fi
	fi
	return found
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then
	_rungs "$@"
else
	compdef _rungs rungs
fi
