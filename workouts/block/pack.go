package block

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"io"
	"iter"
	"runtime"
	"sync"
)

// Thousands of runs are in memory at once, and of each only the head is needed
// before its turn comes. So the detail is kept packed: JSON (RFC 8259),
// deflated (RFC 1951), about 2 kB instead of 10.

// A deflater takes over half a megabyte, so each is kept; there are no more than cores.
var deflaters = make(chan *flate.Writer, 64)

func deflater(to io.Writer) *flate.Writer {
	select {
	case w := <-deflaters:
		w.Reset(to)
		return w
	default:
		w, _ := flate.NewWriter(to, flate.BestSpeed) // the error is of levels that do not exist
		return w
	}
}

var inflaters = sync.Pool{New: func() any { return flate.NewReader(bytes.NewReader(nil)) }}

// pack gives the run with its detail packed.
func (r Run) pack() Run {
	if r.Detail == nil {
		return r
	}
	text, err := json.Marshal(r.Detail)
	if err != nil { // a figure that is none; then it stays as it is
		return r
	}
	var b bytes.Buffer
	w := deflater(&b)
	w.Write(text)
	w.Close()
	select {
	case deflaters <- w:
	default:
	}
	r.Packed, r.Detail = bytes.Clone(b.Bytes()), nil
	return r
}

// mostDetail bounds what a packed detail may come to, in bytes. A recording of
// MaxRecords has far less.
const mostDetail = 64 << 20

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
	in := inflaters.Get().(io.ReadCloser)
	defer inflaters.Put(in)
	if err := in.(flate.Resetter).Reset(bytes.NewReader(r.Packed), nil); err != nil {
		return r, err
	}
	text, err := io.ReadAll(io.LimitReader(in, mostDetail))
	if err == nil {
		err = json.Unmarshal(text, r.Detail)
	}
	if err != nil {
		r.Detail = &Detail{}
	}
	return r, err
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
