package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/muktihari/fit/decoder"
)

// usualRecord is about the size of a record in a file, in bytes; more room than
// needed is given back when the recording is made.
const usualRecord = 36

// readFIT reads the activities of a FIT file, which may be a chain of several.
// A planned workout in the chain belongs to all of them.
func readFIT(name string, data []byte, lim limits) ([]*Recording, error) {
	var c fitChain
	for at := 0; at < len(data); {
		rest := data[at:]
		if at > 0 && binaryFormat(rest) != fitFormat {
			c.note(TrailingData, "%d bytes after the end of the recording, from byte %d on, are no FIT data and were left out", len(rest), at)
			break
		}
		f := &fitReader{builder: newBuilder(name, "fit", lim)}
		f.hasClock = true
		f.points = make([]point, 0, min(len(rest)/usualRecord, lim.records))
		size, stopped := f.decode(rest, int64(at))
		if err := c.take(f, stopped, at); err != nil {
			return nil, err
		}
		if len(c.all) > lim.marks {
			return nil, f.tooMany(lim.marks, "recordings")
		}
		at += size
	}
	return c.finish()
}

// A fitChain is what the parts of a FIT file come to.
type fitChain struct {
	all     []*Recording
	refused error // why a part has none
	notes   []Warning
	plan    *Plan
	apart   int // messages with heart rate apart from the records
	damaged int // parts
}

func (c *fitChain) note(code, format string, args ...any) {
	c.notes = append(c.notes, wholeFile(code, fmt.Sprintf(format, args...)))
}

// take adds the part that begins at byte at; the error is one that ends all reading.
func (c *fitChain) take(f *fitReader, stopped *Error, at int) error {
	recs, err := f.recordings(stopped)
	switch {
	case err == nil:
	case errors.Is(err, ErrTooLarge):
		return err
	case errors.Is(err, ErrDamaged):
		if c.damaged++; c.damaged <= maxListed {
			c.note(DamagedPart, "the part of the file from byte %d on was left out; it %s", at, err.(*Error).Reason)
		}
		fallthrough
	case c.refused == nil:
		c.refused = err
	}
	if c.plan == nil {
		c.plan = f.takePlan()
	}
	c.apart += f.apart
	c.all = append(c.all, recs...)
	return nil
}

// finish gives every recording what was noted of the whole file.
func (c *fitChain) finish() ([]*Recording, error) {
	if len(c.all) == 0 {
		return nil, c.refused
	}
	if c.damaged > maxListed {
		c.note(DamagedPart, "%d more parts were left out", c.damaged-maxListed)
	}
	if c.apart > 0 {
		c.note(HeartRateApart, "the file keeps heart rate apart from the records as well (%s); that was not read", count(c.apart, "message"))
	}
	for _, r := range c.all {
		r.Warnings = append(r.Warnings, c.notes...)
		if r.Plan == nil {
			r.Plan = c.plan
		}
	}
	return c.all, nil
}

// decode reads the FIT file at the start of data, which lies at byte base of
// the input, and returns its length. The error says why reading stopped early.
func (f *fitReader) decode(data []byte, base int64) (size int, stopped *Error) {
	head := int(data[0])
	if head != 12 && head != 14 {
		f.note(WrongHeader, "the header says it is %d bytes long, which no header is; it was taken as 14", head)
		head = 14
	}
	if len(data) <= head {
		return len(data), f.broken(base+int64(len(data)), "it breaks off after its header")
	}
	body := int64(binary.LittleEndian.Uint32(data[4:8]))
	if body == 0 && len(data) > head+2 {
		// What a device leaves that dies while recording.
		f.note(WrongHeader, "the header says that nothing follows; what follows was read")
		body = int64(len(data) - head)
	}
	size = int(min(int64(head)+body+2, int64(len(data))))
	if head == 14 {
		if want := binary.LittleEndian.Uint16(data[12:14]); want != 0 && want != checksum(data[:12]) {
			f.note(WrongHeader, "the header's checksum is wrong")
		}
	}
	// The decoder gets a header without fault.
	fixed := append([]byte(nil), data[:head]...)
	fixed[0] = byte(head)
	binary.LittleEndian.PutUint32(fixed[4:8], uint32(body))
	in := io.MultiReader(bytes.NewReader(fixed), bytes.NewReader(data[head:size]))
	dec := decoder.New(in, decoder.WithMesgListener(f), decoder.WithBroadcastOnly(),
		decoder.WithIgnoreChecksum(), decoder.WithNoComponentExpansion())
	if err := decodeSafely(dec); err != nil {
		var pos int64
		fmt.Sscanf(err.Error(), "decode message [byte pos: %d]", &pos)
		switch inner := errors.Unwrap(err); {
		case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
			return size, f.broken(base+int64(size), "it breaks off")
		case inner != nil:
			err = inner
		}
		return size, f.broken(base+pos, err.Error())
	}
	want := binary.LittleEndian.Uint16(data[size-2:])
	if got := checksum(data[:size-2]); got != want {
		f.note(WrongChecksum, "the file's checksum is %04X and its bytes give %04X: some values may be damaged", want, got)
	}
	return size, nil
}

// broken is an error at a byte of the input.
func (f *fitReader) broken(at int64, reason string) *Error {
	return &Error{Path: f.name, Offset: at, Reason: "is a damaged FIT file: " + reason, Hint: "copy it from the device again", Err: ErrDamaged}
}

// decodeSafely keeps a fault of the decoder from ending the program.
func decodeSafely(dec *decoder.Decoder) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the decoder failed: %v", fault)
		}
	}()
	_, err = dec.Decode()
	return err
}

// checksum is the CRC-16 of a FIT file (FIT protocol; reflected polynomial A001).
// Eight bytes are taken at a time, each through the table of what it comes to after the
// bytes behind it (Kounavis and Berry 2008, IEEE Trans. Comput. 57:1550-1560, "slicing";
// from memory).
func checksum(data []byte) uint16 {
	crc := uint16(0)
	t := &crcTables
	for len(data) >= 8 {
		b := data[:8]
		crc = t[7][b[0]^byte(crc)] ^ t[6][b[1]^byte(crc>>8)] ^ t[5][b[2]] ^ t[4][b[3]] ^
			t[3][b[4]] ^ t[2][b[5]] ^ t[1][b[6]] ^ t[0][b[7]]
		data = data[8:]
	}
	for _, c := range data {
		crc = crc>>8 ^ t[0][byte(crc)^c]
	}
	return crc
}

// crcTables[k] is what a byte comes to when k more bytes of zero follow.
var crcTables = func() (t [8][256]uint16) {
	for i := range t[0] {
		crc := uint16(i)
		for range 8 {
			low := crc & 1
			crc >>= 1
			if low == 1 {
				crc ^= 0xA001
			}
		}
		t[0][i] = crc
	}
	for k := 1; k < len(t); k++ {
		for i, crc := range t[k-1] {
			t[k][i] = crc>>8 ^ t[0][byte(crc)]
		}
	}
	return t
}()
