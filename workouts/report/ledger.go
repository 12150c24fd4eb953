package report

import (
	"example.org/rungs/segment"
	"example.org/rungs/workouts/report/chart"
)

// An account is what a run holds of one role.
type account struct {
	role          segment.Role
	seconds       float64
	metres        float64
	timeShare     float64 // of the run, 0 to 1
	distanceShare float64 // NaN when no distance is known
}

// ledgerRoles is the order of the accounts.
var ledgerRoles = []segment.Role{segment.Work, segment.Recovery, segment.Warm, segment.Cool, segment.Easy, segment.Run, segment.Stop}

// ledger adds the run up by roles; empty roles are left out.
func ledger(segments []segment.Segment) []account {
	sums := map[segment.Role]*account{}
	var seconds, metres float64
	for _, x := range segments {
		if !known(x.Seconds()) || x.Seconds() <= 0 {
			continue
		}
		a := sums[x.Role]
		if a == nil {
			a = &account{role: x.Role}
			sums[x.Role] = a
		}
		a.seconds += x.Seconds()
		a.metres += x.DistanceM
		seconds += x.Seconds()
		metres += x.DistanceM
	}
	var list []account
	for _, role := range ledgerRoles {
		if a := sums[role]; a != nil {
			a.timeShare, a.distanceShare = a.seconds/seconds, a.metres/metres
			list = append(list, *a)
		}
	}
	return list
}

// ledgerTable lists the accounts.
func ledgerTable(accounts []account, u unit) Table {
	share := func(v float64) string {
		if !known(v) {
			return ""
		}
		return decimal(100*v, 0) + " %"
	}
	t := Tabulate("", accounts, []ColumnOf[account]{
		{Column{Head: "part"}, func(a account) Cell { return Cell{Text: roleWords[a.role]} }},
		{Column{Head: "time", Align: Right}, func(a account) Cell { return Cell{Text: clock(a.seconds)} }},
		{Column{Head: "share", Align: Right}, func(a account) Cell { return Cell{Text: share(a.timeShare)} }},
		{Column{Head: "distance", Align: Right}, func(a account) Cell { return Cell{Text: u.length(a.metres)} }},
		{Column{Head: "share", Align: Right}, func(a account) Cell { return Cell{Text: share(a.distanceShare)} }},
	})
	t.Title = "Ledger"
	return t
}

// ledgerChart is one bar of the run's time, in the order of the accounts.
func ledgerChart(accounts []account, u unit) []chart.Chart {
	if len(accounts) < 2 {
		return nil
	}
	inks := map[segment.Role]chart.Ink{
		segment.Work: chart.Work, segment.Recovery: chart.Recovery, segment.Warm: chart.Warm,
		segment.Cool: chart.Cool, segment.Easy: chart.Easy, segment.Run: chart.Easy, segment.Stop: chart.Stop,
	}
	total := 0.0
	for _, a := range accounts {
		total += a.seconds
	}
	c := chart.Chart{
		Title: "Where the time went", Text: "One bar of the whole time.",
		X: chart.Axis{From: 0, To: total},
	}
	p := chart.Panel{Height: 60, Y: chart.Axis{From: 0, To: 1}}
	at := 0.0
	for _, a := range accounts {
		word := roleWords[a.role]
		p.Layers = append(p.Layers,
			chart.Box{X0: at, X1: at + a.seconds, Y0: 0, Y1: 0.4, Ink: inks[a.role]},
			chart.Note{X: at, Y: 0.4, Head: word, Text: clock(a.seconds), Up: 7, Room: a.seconds, Ink: chart.Text, Strong: true})
		figures := []string{clock(a.seconds), decimal(100*a.timeShare, 0) + " % of the time"}
		if d := u.length(a.metres); d != "" {
			figures = append(figures, d)
		}
		c.Marks = append(c.Marks, chart.Mark{X0: at, X1: at + a.seconds, Name: word, Figures: figures, Focus: true, Kind: "account"})
		c.Text += " " + sentence(word+" "+clock(a.seconds))
		at += a.seconds
	}
	c.Panels = []chart.Panel{p}
	return []chart.Chart{c}
}
