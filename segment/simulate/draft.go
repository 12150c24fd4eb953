package simulate

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/rungs/segment/recording"
)

const mile = recording.MetresPerMile

// A node is a step (no body) or count passes of body with rest between them.
// Legs and notation grow from the same tree, so they cannot disagree.
type node struct {
	leg Leg

	count int
	body  []node
	rest  *node
	vary  func(pass int, l *Leg) // changes the legs of a pass, from 0
}

func secs(s float64) Leg   { return Leg{Seconds: s} }
func metres(m float64) Leg { return Leg{Metres: m} }
func miles(n float64) Leg  { return Leg{Metres: n * mile, Mile: true} }

// open is a length of s seconds that nobody meant.
func open(s float64) Leg { return Leg{Seconds: s, Open: true} }

func (l Leg) as(role, manner string, mps float64) node {
	l.Role, l.Manner, l.StartMPS, l.EndMPS = role, manner, mps, mps
	return node{leg: l}
}
func (l Leg) warm(mps float64) node  { return l.as(warm, "warm", mps) }
func (l Leg) cool(mps float64) node  { return l.as(cool, "cool", mps) }
func (l Leg) easy(mps float64) node  { return l.as(easy, "easy", mps) }
func (l Leg) work(mps float64) node  { return l.as(work, "work", mps) }
func (l Leg) float(mps float64) node { return l.as(recovery, "float", mps) }
func (l Leg) jog(mps float64) node   { return l.as(recovery, "jog", mps) }
func (l Leg) walk() node             { return l.as(recovery, "walk", 1.5) }
func (l Leg) stand() node            { return l.as(recovery, "stand", 0) }

// offEasy is a recovery run at easy pace.
func (l Leg) offEasy(mps float64) node { return l.as(recovery, "easy", mps) }

// to makes a step change speed evenly from its start to its end.
func (n node) to(mps float64) node { n.leg.EndMPS = mps; return n }

func times(count int, body ...node) node { return node{count: count, body: body} }
func (n node) off(rest node) node        { n.rest = &rest; return n }

func (n node) each(f func(pass int, l *Leg)) node { n.vary = f; return n }

// works is the number of work steps in one pass.
func (n node) works() int {
	if n.count == 0 {
		if n.leg.Role == work {
			return 1
		}
		return 0
	}
	sum := 0
	for _, b := range n.body {
		sum += max(1, b.count) * b.works()
	}
	return sum
}

func (n node) legs() []Leg {
	if n.count == 0 {
		return []Leg{n.leg}
	}
	var out []Leg
	for pass := range n.count {
		from := len(out)
		for _, b := range n.body {
			out = append(out, b.legs()...)
		}
		if n.vary != nil {
			for i := from; i < len(out); i++ {
				n.vary(pass, &out[i])
			}
		}
		if n.works() > 1 {
			for i := from; i < len(out); i++ {
				out[i].Set = pass + 1
			}
		}
		if n.rest != nil && pass+1 < n.count {
			r := n.rest.leg
			r.Set = out[len(out)-1].Set
			out = append(out, r)
		}
	}
	return out
}

func (n node) text() string {
	if n.count == 0 {
		s := amountText(n.leg)
		if n.leg.Manner != "work" {
			s += " " + n.leg.Manner
		}
		return s
	}
	s := notate(n.body)
	if len(n.body) > 1 || n.body[0].count > 0 {
		s = "( " + s + " )"
	}
	s = fmt.Sprintf("%d x %s", n.count, s)
	if n.rest != nil {
		s += " off " + n.rest.text()
	}
	return s
}

func notate(nodes []node) string {
	words := make([]string, len(nodes))
	for i, n := range nodes {
		words[i] = n.text()
	}
	return strings.Join(words, " + ")
}

func amountText(l Leg) string {
	switch {
	case l.Open:
		return "open"
	case l.Mile:
		return strconv.FormatFloat(l.Metres/mile, 'f', -1, 64) + "mi"
	case l.Metres > 2000 || l.Metres > 0 && int(l.Metres)%1000 == 0:
		return strconv.FormatFloat(l.Metres/1000, 'f', -1, 64) + "km"
	case l.Metres > 0:
		return strconv.FormatFloat(l.Metres, 'f', -1, 64) + "m"
	case l.Seconds < 60:
		return strconv.FormatFloat(l.Seconds, 'f', -1, 64) + "s"
	}
	s := int(l.Seconds)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// session numbers the legs and writes the notation. Every top-level repeat
// begins a set, and so does every pass of a repeat of several work steps;
// single steps in a row share one.
func (a *athlete) session(name string, nodes ...node) Session {
	s := Session{Name: name, Structured: true, Place: a.place, Runner: a.runner, Terrain: a.terrain}
	set, rep, loose := 0, 0, false
	for _, n := range nodes {
		legs := n.legs()
		base, inner := set, 0
		hasWork := n.works() > 0
		for i := range legs {
			l := &legs[i]
			if l.Role == work {
				rep++
				if n.count == 0 && !loose || n.count > 0 && l.Set == 0 && inner == 0 {
					inner = 1
				}
				inner = max(inner, l.Set)
				set = base + inner
			}
			l.Set, l.Rep = 0, 0
			if l.Role == work || l.Role == recovery && rep > 0 {
				l.Set, l.Rep = set, rep
			}
		}
		if hasWork {
			loose = n.count == 0
		}
		s.Legs = append(s.Legs, legs...)
	}
	s.Notation, s.Main = notate(nodes), notate(mainPart(nodes))
	return s
}

// mainPart is a workout from its first work to its last.
func mainPart(nodes []node) []node {
	from, to := 0, len(nodes)
	for from < to && nodes[from].works() == 0 {
		from++
	}
	for to > from && nodes[to-1].works() == 0 {
		to--
	}
	return nodes[from:to]
}

// loosely is a run without structure.
func (a *athlete) loosely(name string, nodes ...node) Session {
	s := a.session(name, nodes...)
	s.Structured, s.Notation, s.Main = false, "", ""
	return s
}
