package recording

import (
	"math"
	"strings"

	"github.com/muktihari/fit/profile/basetype"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/fieldnum"
	"github.com/muktihari/fit/proto"
)

// A developerField is a field that an app on the device added to the records,
// and which of our columns it repeats.
type developerField struct {
	name   string
	column column
	scale  float64 // for integers
	value  []float64
}

// maxDeveloperFields is how many are followed; each may need a column.
const maxDeveloperFields = 16

// describe takes a field_description; fields that are none of our columns are
// passed over.
func (f *fitReader) describe(m *proto.Message) {
	name := text(m, fieldnum.FieldDescriptionFieldName)
	units := strings.ToLower(text(m, fieldnum.FieldDescriptionUnits))
	d := developerField{name: name, column: -1, scale: 1}
	if typedef.MesgNum(m.FieldValueByNum(fieldnum.FieldDescriptionNativeMesgNum).Uint16()) == typedef.MesgNumRecord {
		switch m.FieldValueByNum(fieldnum.FieldDescriptionNativeFieldNum).Uint8() {
		case fieldnum.RecordSpeed, fieldnum.RecordEnhancedSpeed:
			d.column, d.scale = colSpeed, 1000
		case fieldnum.RecordDistance:
			d.column, d.scale = colDistance, 100
		case fieldnum.RecordHeartRate:
			d.column = colHeart
		case fieldnum.RecordCadence:
			d.column = colCadence
		}
	}
	if d.column < 0 {
		switch lower := strings.ToLower(name); {
		case strings.Contains(lower, "speed") && units == "m/s":
			d.column = colSpeed
		case strings.Contains(lower, "distance") && units == "m":
			d.column = colDistance
		default:
			return
		}
	}
	if len(f.developerOrder) >= maxDeveloperFields {
		return
	}
	if f.developer == nil {
		f.developer = map[[2]byte]*developerField{}
	}
	key := [2]byte{m.FieldValueByNum(fieldnum.FieldDescriptionDeveloperDataIndex).Uint8(),
		m.FieldValueByNum(fieldnum.FieldDescriptionFieldDefinitionNumber).Uint8()}
	if f.developer[key] == nil {
		f.developerOrder = append(f.developerOrder, key)
	}
	f.developer[key] = &d
}

// extend takes the developer fields of the record just added.
func (f *fitReader) extend(m *proto.Message) {
	for i := range m.DeveloperFields {
		field := &m.DeveloperFields[i]
		d := f.developer[[2]byte{field.DeveloperDataIndex, field.Num}]
		if d == nil {
			continue
		}
		for len(d.value) < len(f.points)-1 {
			d.value = append(d.value, nan)
		}
		d.value = append(d.value, numeric(field.Value, d.scale))
	}
}

// settleDeveloper uses a developer field where the device has nothing of its
// own, and says so either way.
func (f *fitReader) settleDeveloper() {
	for _, key := range f.developerOrder {
		d := f.developer[key]
		if len(d.value) == 0 {
			continue
		}
		own := false
		for i := range f.points {
			own = own || !math.IsNaN(f.points[i].v[d.column])
		}
		if own {
			f.note(DeveloperField, "an app's field %q repeats what the device measures; the device's own was used", d.name)
			continue
		}
		for i, v := range d.value {
			f.points[i].v[d.column] = v
		}
		f.note(DeveloperField, "an app's field %q was used, because the device has none of its own", d.name)
	}
}

// numeric reads a value of any number type, integers divided by scale; NaN when
// it is invalid or no number.
func numeric(v proto.Value, scale float64) float64 {
	bad := func(base basetype.BaseType) bool { return !v.Valid(base) }
	switch v.Type() {
	case proto.TypeFloat32:
		return float64(v.Float32())
	case proto.TypeFloat64:
		return v.Float64()
	case proto.TypeUint8:
		if !bad(basetype.Uint8) {
			return float64(v.Uint8()) / scale
		}
	case proto.TypeUint16:
		if !bad(basetype.Uint16) {
			return float64(v.Uint16()) / scale
		}
	case proto.TypeUint32:
		if !bad(basetype.Uint32) {
			return float64(v.Uint32()) / scale
		}
	case proto.TypeInt8:
		if !bad(basetype.Sint8) {
			return float64(v.Int8()) / scale
		}
	case proto.TypeInt16:
		if !bad(basetype.Sint16) {
			return float64(v.Int16()) / scale
		}
	case proto.TypeInt32:
		if !bad(basetype.Sint32) {
			return float64(v.Int32()) / scale
		}
	}
	return nan
}
