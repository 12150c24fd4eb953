package block

import (
	"encoding/binary"
	"errors"
	"math"

	"example.org/rungs/segment"
)

// The packed form of a detail is its fields in order: numbers as varints (as in Protocol
// Buffers), texts and lists behind their lengths. A cached block unpacks each run several
// times; from JSON that took most of its time.

// form begins a packed detail, and changes with what follows.
const form = 2

var errPacked = errors.New("cannot be: the packed part is damaged or of another version")

// A packer appends to bytes.
type packer []byte

func (p *packer) count(n int)   { *p = binary.AppendUvarint(*p, uint64(n)) }
func (p *packer) whole(n int)   { *p = binary.AppendVarint(*p, int64(n)) }
func (p *packer) text(s string) { p.count(len(s)); *p = append(*p, s...) }

func (p *packer) yes(b bool) {
	n := 0
	if b {
		n = 1
	}
	p.count(n)
}

// thousandths is up to where a number of thousandths is exact.
const thousandths = 1 << 50

// number writes a figure, which mostly is a number of thousandths; else bit by bit.
func (p *packer) number(v float64) {
	k := math.Round(v * 1000)
	if math.Abs(k) < thousandths && math.Float64bits(k/1000) == math.Float64bits(v) {
		*p = binary.AppendVarint(*p, int64(k)*2)
		return
	}
	*p = binary.AppendVarint(*p, 1)
	*p = binary.LittleEndian.AppendUint64(*p, math.Float64bits(v))
}

func (p *packer) detail(d *Detail) {
	p.count(len(d.Parts))
	for i := range d.Parts {
		p.part(&d.Parts[i])
	}
	p.blocks(d.Found)
	for _, v := range []float64{d.StepS, d.KnownS, d.MinuteSE, d.NoHeartS, d.LockedS} {
		p.number(v)
	}
	for e := range efforts {
		p.tally(d.Heart[e])
		p.tally(d.Speed[e])
	}
	p.yes(d.Sensor)
	p.count(len(d.Quickest))
	for _, q := range d.Quickest {
		p.text(q.Length)
		for _, v := range []float64{q.StartS, q.Seconds, q.Metres, q.SE} {
			p.number(v)
		}
	}
	p.count(len(d.Way))
	for _, m := range d.Way {
		p.whole(m)
	}
	p.count(len(d.Notes))
	for _, n := range d.Notes {
		p.text(n.Code)
		p.text(n.Message)
	}
}

func (p *packer) part(x *Part) {
	p.text(string(x.Role))
	p.whole(x.Set)
	p.whole(x.Rep)
	for _, v := range []float64{x.StartS, x.EndS, x.StartSE, x.EndSE, x.StoppedS, x.DistanceM, x.DistSE, x.HeartBPM} {
		p.number(v)
	}
}

func (p *packer) blocks(list []segment.Block) {
	p.count(len(list))
	for i := range list {
		b := &list[i]
		p.whole(b.Count)
		p.blocks(b.Body)
		if p.yes(b.Rest != nil); b.Rest != nil {
			p.blocks([]segment.Block{*b.Rest})
		}
		p.text(string(b.Role))
		for _, a := range []segment.Amount{b.Amount, b.Rival} {
			p.number(a.Seconds)
			p.number(a.Metres)
			p.yes(a.Mile)
		}
		p.number(b.Sure)
		p.number(b.Pace)
		p.text(b.Manner)
	}
}

// tally writes values, which rise, as their steps.
func (p *packer) tally(t Tally) {
	p.count(len(t))
	before := uint16(0)
	for i, v := range t {
		if i%2 == 0 {
			v, before = v-before, v
		}
		p.count(int(v))
	}
}

// An unpacker reads what a packer wrote. What cannot be read is zero, and failed is set.
type unpacker struct {
	rest   []byte
	failed bool
	deep   int // of blocks in blocks
}

func (u *unpacker) fail() { u.rest, u.failed = nil, true }

func (u *unpacker) count() uint64 {
	if len(u.rest) > 0 && u.rest[0] < 0x80 { // most are so small
		v := u.rest[0]
		u.rest = u.rest[1:]
		return uint64(v)
	}
	v, n := binary.Uvarint(u.rest)
	if n <= 0 {
		u.fail()
		return 0
	}
	u.rest = u.rest[n:]
	return v
}

// varint is a count whose last bit is the sign.
func (u *unpacker) varint() int64 {
	v := u.count()
	return int64(v>>1) ^ -int64(v&1)
}

func (u *unpacker) whole() int { return int(u.varint()) }
func (u *unpacker) yes() bool  { return u.count() == 1 }

// length is that of a list whose items have so many bytes at least; what is longer than
// what is left is refused before memory is taken for it.
func (u *unpacker) length(least int) int {
	n := u.count()
	if n > uint64(len(u.rest)/least) {
		u.fail()
		return 0
	}
	return int(n)
}

func (u *unpacker) text() string {
	n := u.length(1)
	s := string(u.rest[:n])
	u.rest = u.rest[n:]
	return s
}

func (u *unpacker) number() float64 {
	v := u.varint()
	if v%2 == 0 {
		return float64(v/2) / 1000
	}
	if len(u.rest) < 8 {
		u.fail()
		return 0
	}
	bits := binary.LittleEndian.Uint64(u.rest)
	u.rest = u.rest[8:]
	return math.Float64frombits(bits)
}

func (u *unpacker) numbers(into ...*float64) {
	for _, v := range into {
		*v = u.number()
	}
}

// Bytes that a part, a block, a quickest stretch and a note have at least.
const leastPart, leastBlock, leastQuickest, leastNote = 11, 13, 5, 2

func (u *unpacker) detail() *Detail {
	d := &Detail{}
	if u.count() != form {
		u.fail()
		return d
	}
	d.Parts = listOf[Part](u.length(leastPart))
	for i := range d.Parts {
		u.part(&d.Parts[i])
	}
	d.Found = u.blocks()
	u.numbers(&d.StepS, &d.KnownS, &d.MinuteSE, &d.NoHeartS, &d.LockedS)
	for e := range efforts {
		d.Heart[e] = u.tally()
		d.Speed[e] = u.tally()
	}
	d.Sensor = u.yes()
	d.Quickest = listOf[Quickest](u.length(leastQuickest))
	for i := range d.Quickest {
		q := &d.Quickest[i]
		q.Length = u.text()
		u.numbers(&q.StartS, &q.Seconds, &q.Metres, &q.SE)
	}
	d.Way = listOf[int](u.length(1))
	for i := range d.Way {
		d.Way[i] = u.whole()
	}
	d.Notes = listOf[Note](u.length(leastNote))
	for i := range d.Notes {
		d.Notes[i] = Note{u.text(), u.text()}
	}
	return d
}

// listOf is a list of so many zeros, nil when there are none.
func listOf[T any](n int) []T {
	if n == 0 {
		return nil
	}
	return make([]T, n)
}

func (u *unpacker) part(x *Part) {
	x.Role = segment.Role(u.text())
	x.Set, x.Rep = u.whole(), u.whole()
	u.numbers(&x.StartS, &x.EndS, &x.StartSE, &x.EndSE, &x.StoppedS, &x.DistanceM, &x.DistSE, &x.HeartBPM)
}

// deepest is how deep blocks stand in blocks, at most; readings have two levels.
const deepest = 32

func (u *unpacker) blocks() []segment.Block {
	if u.deep++; u.deep > deepest {
		u.fail()
	}
	defer func() { u.deep-- }()
	list := listOf[segment.Block](u.length(leastBlock))
	for i := range list {
		b := &list[i]
		b.Count = u.whole()
		b.Body = u.blocks()
		if u.yes() {
			if rest := u.blocks(); len(rest) == 1 {
				b.Rest = &rest[0]
			} else {
				u.fail()
			}
		}
		b.Role = segment.Role(u.text())
		for _, a := range []*segment.Amount{&b.Amount, &b.Rival} {
			u.numbers(&a.Seconds, &a.Metres)
			a.Mile = u.yes()
		}
		u.numbers(&b.Sure, &b.Pace)
		b.Manner = u.text()
	}
	return list
}

func (u *unpacker) tally() Tally {
	t := listOf[uint16](u.length(1))
	before := uint16(0)
	for i := range t {
		v := uint16(u.count())
		if i%2 == 0 {
			v += before
			before = v
		}
		t[i] = v
	}
	return t
}
