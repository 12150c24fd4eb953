package main

import (
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// A percentValue is a flag's percentage, written with its sign or without.
type percentValue float64

func (p *percentValue) Set(s string) error {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(s, "%")), 64)
	if err != nil {
		return errors.New("write a percentage such as 2 or 2.5%")
	}
	*p = percentValue(v)
	return nil
}

func (p *percentValue) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }
func (p *percentValue) Type() string   { return "float64" }

// percentFlag declares a flag that is a percentage.
func percentFlag(fs *pflag.FlagSet, name string, unsaid float64, usage string) *float64 {
	v := unsaid
	fs.Var((*percentValue)(&v), name, usage)
	return &v
}
