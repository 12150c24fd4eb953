package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// Minetti et al. 2002, J. Appl. Physiol. 93:1039-1046. The measured costs and
// their standard deviations are those of its abstract; the polynomial values
// are computed from its coefficients, which are from memory.
func TestCostOfRunning(t *testing.T) {
	for _, c := range []struct{ grade, measured, sd float64 }{
		{0, 3.40, 0.24}, {0.45, 18.93, 1.74}, {-0.20, 1.73, 0.36}, {-0.45, 3.92, 0.81},
	} {
		near(t, "the measured cost, J/(kg m)", CostOfRunning(c.grade), c.measured, c.sd)
	}
	for _, c := range []struct{ grade, cost float64 }{
		{-0.45, 4.032}, {-0.30, 2.462}, {-0.20, 1.800}, {-0.10, 2.152}, {0, 3.600},
		{0.05, 4.685}, {0.10, 5.968}, {0.20, 9.007}, {0.30, 12.579}, {0.45, 19.426},
		{-0.6, 4.032}, {0.6, 19.426}, {math.Inf(-1), 4.032}, {math.Inf(1), 19.426}, // the ends are held
	} {
		near(t, "the polynomial, J/(kg m)", CostOfRunning(c.grade), c.cost, 5e-4)
	}
	if !math.IsNaN(CostOfRunning(math.NaN())) {
		t.Error("an unknown grade has a known cost")
	}
}

// hill is a run whose altitude is a function of its distance, m, seen exactly.
func hill(seconds int, metres, altitude func(x float64) float64) *recording.Recording {
	r := ticks(seconds)
	r.Distance = stream(r, metres)
	r.Altitude = stream(r, func(t float64) float64 { return altitude(metres(t)) })
	return r
}

func atSpeed(mps float64) func(t float64) float64 { return func(t float64) float64 { return mps * t } }

// On an even slope least squares give the slope itself. About a kink where the
// slope goes from a to b they give, in closed form, a + (b-a)(2 - 3u + u^3)/4
// with u = (kink - here)/40 m (the straight line fitted to a ramp with even
// weights over 40 m to either side).
func TestGradeInClosedForm(t *testing.T) {
	const kink, a, b = 1500.0, 0.04, -0.06
	for name, c := range map[string]struct{ altitude, want func(x float64) float64 }{
		"up":   {func(x float64) float64 { return 100 + 0.05*x }, func(float64) float64 { return 0.05 }},
		"down": {func(x float64) float64 { return 500 - 0.12*x }, func(float64) float64 { return -0.12 }},
		"too steep": {func(x float64) float64 { return 0.7 * x },
			func(float64) float64 { return 0.45 }},
		"kink": {
			func(x float64) float64 { return a*min(x, kink) + b*max(0, x-kink) },
			func(x float64) float64 {
				u := min(max((kink-x)/40, -1), 1)
				return a + (b-a)*(2-3*u+u*u*u)/4
			},
		},
	} {
		tr := Build(hill(1000, atSpeed(3), c.altitude))
		if tr.Grade == nil {
			t.Fatalf("%s: no grade", name)
		}
		tolerance := 1e-9
		if name == "kink" {
			// The window holds whole cells, up to 1.5 m from where it should end,
			// and altitude is that of the middle of the cell, 1.5 m on.
			tolerance = 0.005
		}
		for i, g := range tr.Grade {
			near(t, name+": the grade", g, c.want(tr.Dist[i]), tolerance)
		}
	}
}

func TestGradeIsMissing(t *testing.T) {
	climb := func(x float64) float64 { return 100 + 0.05*x }
	for name, change := range map[string]func(r *recording.Recording){
		"no altitude":         func(r *recording.Recording) { r.Altitude = recording.Stream{} },
		"no valid altitude":   func(r *recording.Recording) { clear(r.Altitude.Valid) },
		"one altitude":        func(r *recording.Recording) { clear(r.Altitude.Valid[1:]) },
		"flat":                func(r *recording.Recording) { r.Altitude = stream(r, func(float64) float64 { return 31 }) },
		"within 3 m of drift": func(r *recording.Recording) { r.Altitude = stream(r, func(t float64) float64 { return 31 + t/400 }) },
		"no distance":         func(r *recording.Recording) { r.Distance = recording.Stream{} },
	} {
		r := hill(1000, atSpeed(3), climb)
		change(r)
		tr := Build(r)
		if tr.Grade != nil || tr.EvenCost() != nil {
			t.Errorf("%s: there is a grade", name)
		}
		if &tr.Effort[0] != &tr.Speed[0] {
			t.Errorf("%s: effort is not speed", name)
		}
	}
	if Build(hill(1000, atSpeed(3), climb)).Grade == nil {
		t.Error("there is no grade with all of it")
	}
}

// A slope stays known over holes in altitude, which are no plains, and while
// the runner stands.
func TestGradeOverHolesAndStops(t *testing.T) {
	slope := func(x float64) float64 { return 0.05 * x }
	r := hill(1000, func(t float64) float64 { return 3*min(t, 500) + 3*max(0, t-600) }, slope)
	clear(r.Altitude.Valid[:5])
	clear(r.Altitude.Valid[200:260])
	clear(r.Altitude.Valid[995:])
	for _, g := range Build(r).Grade {
		near(t, "the grade", g, 0.05, 2e-3)
	}
}

// waves is the altitude of hills, one each 900 m, with the steepest grade given.
func waves(steepest float64) (altitude, grade func(x float64) float64) {
	const k = 2 * math.Pi / 900
	return func(x float64) float64 { return 200 - steepest/k*math.Cos(k*x) },
		func(x float64) float64 { return steepest * math.Sin(k*x) }
}

// ranOver is the distance by each second of a runner who slows on climbs by
// the power up of their cost, and quickens on descents by the power down, from
// a flat speed that may depend on time.
func ranOver(seconds int, grade func(x float64) float64, flat func(t float64) float64, up, down float64) func(t float64) float64 {
	const steps = 20 // a second
	d := make([]float64, seconds+1)
	x := 0.0
	for s := range seconds {
		for k := range steps {
			c := math.Log(CostOfRunning(grade(x)) / CostOfRunning(0))
			x += flat(float64(s)+float64(k)/steps) * math.Exp(-up*max(c, 0)-down*min(c, 0)) / steps
		}
		d[s+1] = x
	}
	return func(t float64) float64 { return d[int(t)] }
}

// exponents reads from a trace with what powers of cost its effort was made.
func exponents(tr *Trace) (up, down float64) {
	if &tr.Effort[0] == &tr.Speed[0] {
		return 0, 0
	}
	steepest, deepest := 0.0, 0.0
	for i, g := range tr.Grade {
		c := math.Log(CostOfRunning(g) / CostOfRunning(0))
		e := math.Log(tr.Effort[i]/tr.Speed[i]) / c
		if tr.Speed[i] > 1 && c > steepest {
			steepest, up = c, e
		}
		if tr.Speed[i] > 1 && c < deepest {
			deepest, down = c, e
		}
	}
	return up, down
}

// Even pace over hills has the powers 0, even cost has 1, and what lies
// between is found; then effort is even.
func TestEffortFindsHowHillsWereMet(t *testing.T) {
	altitude, grade := waves(0.06)
	even := func(float64) float64 { return 3 }
	const n = 3600
	for _, c := range []struct{ up, down float64 }{{0, 0}, {1, 1}, {0.5, 0.5}, {1, 0.4}, {0.3, 0.8}} {
		tr := Build(hill(n, ranOver(n, grade, even, c.up, c.down), altitude))
		up, down := exponents(tr)
		near(t, "the power of climbs", up, c.up, 0.06)
		near(t, "the power of descents", down, c.down, 0.06)
		for i := 60; i < n-60; i++ {
			near(t, "the effort", tr.Effort[i], 3, 0.09)
		}
	}
}

// Reps are outliers to the fit: they must not be taken for an answer to hills.
func TestEffortUnderReps(t *testing.T) {
	altitude, grade := waves(0.06)
	c := intervals(8, 180, 4.2, 120, 2.4)
	n := int(c.seconds())
	for _, power := range []float64{0, 1} {
		tr := Build(hill(n, ranOver(n, grade, c.speed, power, power), altitude))
		up, down := exponents(tr)
		near(t, "the power of climbs", up, power, 0.2)
		near(t, "the power of descents", down, power, 0.2)
	}
}

// Four minutes are too little to go by: speed is left as it is.
func TestEffortOfShortRunIsSpeed(t *testing.T) {
	altitude, grade := waves(0.06)
	tr := Build(hill(240, ranOver(240, grade, func(float64) float64 { return 3 }, 1, 1), altitude))
	if tr.Grade == nil || &tr.Effort[0] != &tr.Speed[0] {
		t.Error("effort was made from four minutes")
	}
}

// Simulated runners who keep even effort over hills give all of the cost of
// climbing away and take all the gain of descending (grades to 3 %, where the
// simulation does not cap the gain), those who keep even speed nothing.
func TestEffortOfSimulatedRunners(t *testing.T) {
	d, ok := simulate.DeviceNamed("good watch, open sky")
	if !ok {
		t.Fatal("no such device")
	}
	for _, byEffort := range []bool{false, true} {
		runner := simulate.DefaultRunner()
		runner.ByEffort = byEffort
		var ups, downs []float64
		for seed := range uint64(4) {
			s := simulate.Session{
				Legs:   []simulate.Leg{{Role: "easy", Manner: "easy", Seconds: 3600, StartMPS: 3, EndMPS: 3}},
				Runner: runner, Terrain: simulate.Terrain{BaseM: 100, MaxGrade: 0.03, RollM: 1200}, Place: recording.Outdoors,
			}
			r, _ := simulate.Run(s, d, seed)
			up, down := exponents(Build(r))
			ups, downs = append(ups, up), append(downs, down)
		}
		want := 0.0
		if byEffort {
			want = 1
		}
		t.Logf("by effort %v: powers %.2f and %.2f", byEffort, ups, downs)
		near(t, "the mean power of climbs", mean(ups), want, 0.25)
		near(t, "the mean power of descents", mean(downs), want, 0.25)
	}
}

func TestEvenCost(t *testing.T) {
	altitude, grade := waves(0.06)
	tr := Build(hill(1800, ranOver(1800, grade, func(float64) float64 { return 3 }, 1, 1), altitude))
	got := tr.EvenCost()
	if len(got) != tr.Len() {
		t.Fatalf("%d values in %d cells", len(got), tr.Len())
	}
	for i := 30; i < len(got)-30; i++ {
		near(t, "the flat speed of equal cost", got[i], 3, 0.09)
	}
	// On an even slope it is exact: the polynomial has 4.685 at 5 % over 3.6.
	tr = Build(hill(1800, atSpeed(3), func(x float64) float64 { return 0.05 * x }))
	for _, v := range tr.EvenCost() {
		near(t, "the flat speed of equal cost at 5 %", v, 3*4.685/3.6, 1e-3)
	}
	// Grades of less than 1.5 % rms hardly matter.
	for _, c := range []struct {
		grade float64
		want  bool
	}{{0.016, true}, {0.014, false}, {-0.014, false}, {-0.016, true}} {
		tr := Build(hill(1800, atSpeed(3), func(x float64) float64 { return 100 + c.grade*x }))
		if got := tr.EvenCost() != nil; got != c.want {
			t.Errorf("a grade of %g matters: %v", c.grade, got)
		}
	}
}

// The fit of two slopes finds those that data were made with, is moved little
// by one outlier in ten, and keeps within 0 and 1.
func TestSlopes(t *testing.T) {
	rng := seeded(12)
	var y, u, d []float64
	for range 400 {
		a, b := 0.3*rng.NormFloat64(), 0.2*rng.NormFloat64()
		u, d, y = append(u, a), append(d, b), append(y, 0.7*a+0.2*b+0.01*rng.NormFloat64())
	}
	a, b := slopes(y, u, d)
	near(t, "the first slope", a, 0.7, 0.01)
	near(t, "the second slope", b, 0.2, 0.01)
	for i := range y {
		if i%10 == 0 {
			y[i] += 0.6
		}
	}
	a, b = slopes(y, u, d)
	near(t, "the first slope with outliers", a, 0.7, 0.03)
	near(t, "the second slope with outliers", b, 0.2, 0.03)
	for i := range y {
		y[i] = 3*u[i] - 2*d[i]
	}
	if a, b = slopes(y, u, d); a != 1 || b != 0 {
		t.Errorf("slopes of 3 and -2 are held to %g and %g, want 1 and 0", a, b)
	}
	if a, b = slopes(y[:7], u[:7], d[:7]); a != 0 || b != 0 {
		t.Errorf("seven points give %g and %g", a, b)
	}
}
