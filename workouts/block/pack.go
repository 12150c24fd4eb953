package block

import (
	"bytes"
	"iter"
	"runtime"
)

// Thousands of runs are in memory at once, and of each only the head is needed
// before its turn comes. So the detail is kept packed: see packing.go.

// pack gives the run with its detail packed.
func (r Run) pack() Run {
	if r.Detail == nil {
		return r
	}
	p := packer{form}
	p.detail(r.Detail)
	r.Packed, r.Detail = bytes.Clone(p), nil
	return r
}

// unpack gives the run with its detail. When the detail cannot be read it is empty,
// and there is an error.
func (r Run) unpack() (Run, error) {
	if r.Detail != nil {
		return r, nil
	}
	r.Detail = &Detail{}
	if len(r.Packed) == 0 {
		return r, nil
	}
	u := unpacker{rest: r.Packed}
	d := u.detail()
	if u.failed || len(u.rest) > 0 {
		return r, errPacked
	}
	r.Detail = d
	return r, nil
}

// full is unpack for runs that were packed here, or checked.
func (r Run) full() Run {
	r, _ = r.unpack()
	return r
}

// Full is the run with its detail, which is unpacked when it is packed.
func (r Run) Full() Run { return r.full() }

// unpackAhead gives the runs of sessions in full, in their order, unpacked on all
// cores as many ahead as there are cores.
func unpackAhead(sessions []Session) iter.Seq2[int, Run] {
	return func(yield func(int, Run) bool) {
		ahead := make(chan chan Run, runtime.GOMAXPROCS(0))
		done := make(chan struct{})
		defer close(done)
		go func() {
			defer close(ahead)
			for i := range sessions {
				one := make(chan Run, 1)
				packed := sessions[i].Run
				select {
				case ahead <- one:
					go func() { one <- packed.full() }()
				case <-done:
					return
				}
			}
		}()
		i := 0
		for one := range ahead {
			if !yield(i, <-one) {
				return
			}
			i++
		}
	}
}
