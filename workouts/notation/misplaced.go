package notation

import "strings"

// misplaced reports a token that may not follow a whole step.
func (p *parser) misplaced(t token) {
	_, isManner := manners[t.text]
	switch {
	case t.kind == bad:
		p.badCharacter(t)
	case t.is("off"):
		p.fail(t, t, codeRest, "one rest is enough; put groups in ( ) to rest between them too", `a second "off"`)
	case t.kind == comma:
		p.fail(t, t, codeJoin, `join steps with "+"`, `%s cannot join steps`, t.show())
	case t.kind == word && isManner:
		p.fail(t, t, codeManner, `one manner a step, before the "@": 10:00 easy @ 5:30/km`, "the manner %q has no place here", t.text)
	case t.kind == number || t.kind == leftParen || t.is("open"):
		p.fail(t, t, codeJoin, `put "+" between steps, or "off" before a rest`, "two steps run together at %s", t.show())
	case t.kind == slash:
		p.fail(t, t, codeJoin, `write "off" before a rest: 5 x 3:00 off 90s jog`, `"/" cannot join steps`)
	case t.kind == at:
		p.fail(t, t, codeTarget, `one target a step; bands are 3:50-4:00/km, progressions 4:00 -> 3:50/km`, `a second "@"`)
	case t.kind == plusMinus:
		p.fail(t, t, codeTolerance, `write it after a target: @ 3:50/km ±3s`, "this tolerance belongs to no target")
	case t.kind == times:
		p.fail(t, t, codeCount, "the count stands first: 5 x 400m", `"x" has no count before it`)
	default:
		p.fail(t, t, codeJoin, `after a step comes "+", "off" or a new line`, "did not expect %s here", t.show())
	}
}

func (p *parser) badCharacter(t token) {
	hint := "take it out"
	switch {
	case strings.ContainsAny(t.text, "[]{}"):
		hint = "groups stand in ( )"
	case t.text == "~" || t.text == "≈":
		hint = "give the amount as planned; a target may have a tolerance: @ 3:50/km ±3s"
	case t.text == ".":
		hint = "a decimal point stands between digits: 0.5km"
	case t.text == "&" || t.text == "|":
		hint = `join steps with "+"`
	}
	p.fail(t, t, codeCharacter, hint, "the character %s has no meaning here", t.show())
}
