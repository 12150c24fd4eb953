package session

import (
	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
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

// ledger adds the run up by roles; empty roles are left out. Time that the runner
// stood is that of stops, in whatever part it was.
func ledger(s *segment.Session) []account {
	stops := stopSpans(s)
	sums := map[segment.Role]*account{}
	var seconds, metres, standing float64
	for _, x := range s.Segments {
		if !figures.Known(x.Seconds()) || x.Seconds() <= 0 {
			continue
		}
		a := sums[x.Role]
		if a == nil {
			a = &account{role: x.Role}
			sums[x.Role] = a
		}
		ran := x.Seconds()
		if x.Role != segment.Stop {
			for _, stop := range stops {
				stood := max(0, min(stop.EndS, x.EndS)-max(stop.StartS, x.StartS))
				standing, ran = standing+stood, ran-stood
			}
		}
		a.seconds += ran
		a.metres += x.DistanceM
		seconds += x.Seconds()
		metres += x.DistanceM
	}
	if standing >= 1 {
		if sums[segment.Stop] == nil {
			sums[segment.Stop] = &account{role: segment.Stop}
		}
		sums[segment.Stop].seconds += standing
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
func ledgerTable(accounts []account, u figures.Unit) report.Table {
	share := func(v float64) string {
		if !figures.Known(v) {
			return ""
		}
		return figures.Decimal(100*v, 0) + " %"
	}
	t := report.Tabulate("", accounts, []report.ColumnOf[account]{
		{Column: report.Column{Head: "part"}, Cell: func(a account) report.Cell { return report.Cell{Text: roleWords[a.role]} }},
		{Column: report.Column{Head: "time", Align: report.Right}, Cell: func(a account) report.Cell { return report.Cell{Text: figures.Clock(a.seconds)} }},
		{Column: report.Column{Head: "share", Align: report.Right}, Cell: func(a account) report.Cell { return report.Cell{Text: share(a.timeShare)} }},
		{Column: report.Column{Head: "distance", Align: report.Right}, Cell: func(a account) report.Cell { return report.Cell{Text: u.Length(a.metres)} }},
		{Column: report.Column{Head: "share", Align: report.Right}, Cell: func(a account) report.Cell { return report.Cell{Text: share(a.distanceShare)} }},
	})
	t.Title = "Ledger"
	return t
}
