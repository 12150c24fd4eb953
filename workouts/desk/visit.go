package desk

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
)

// A visit is one request that was let in.
type visit struct {
	*Desk
	w http.ResponseWriter
	r *http.Request
}

// A refusal is an error that the runner can do something about.
type refusal struct {
	status int    // of HTTP
	text   string // what is wrong, a sentence
	todo   string // what to do, a sentence
}

func (r refusal) Error() string { return r.text + " " + r.todo }

func refusef(status int, todo, format string, args ...any) error {
	return refusal{status, fmt.Sprintf(format, args...), todo}
}

// refuse shows an error as a page, or as an object where a script asked.
func (v *visit) refuse(err error) {
	var r refusal
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &r):
	case errors.As(err, &large):
		r = refusal{http.StatusRequestEntityTooLarge, fmt.Sprintf("That is more than %d bytes.", large.Limit), "Nothing was changed."}
	default:
		r = refusal{http.StatusInternalServerError, err.Error() + ".", "Nothing was changed."}
	}
	if v.r.Header.Get("Accept") == "application/json" {
		v.w.Header().Set("Content-Type", "application/json")
		v.w.WriteHeader(r.status)
		json.NewEncoder(v.w).Encode(map[string]string{"error": r.text, "todo": r.todo})
		return
	}
	v.showStatus(r.status, "refusal", "Not done", r)
}

// json answers a script.
func (v *visit) json(x any) error {
	raw, err := json.Marshal(x)
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "application/json")
	_, err = v.w.Write(raw)
	return ignore(err)
}

// ignore drops an error of writing to a browser that went away.
func ignore(error) error { return nil }

// goTo ends what was posted: the browser shows another page of the desk, and on it what was
// done, by the number of the save; 0 is nothing.
func (v *visit) goTo(path string, done int) error {
	if done > 0 {
		path += "?done=" + strconv.Itoa(done)
	}
	http.Redirect(v.w, v.r, path, http.StatusSeeOther)
	return nil
}

// form gives the fields that were posted, which are at most mostForm bytes.
func (v *visit) form() (func(name string) string, error) {
	if err := v.r.ParseForm(); err != nil {
		if tooLarge := new(http.MaxBytesError); errors.As(err, &tooLarge) {
			return nil, err
		}
		return nil, refusef(http.StatusBadRequest, "Go back to the page and send its form again.", "What was sent is no form: %v.", err)
	}
	return v.r.PostForm.Get, nil
}

// Text and Todo are for the template.
func (r refusal) Text() string { return r.text }
func (r refusal) Todo() string { return r.todo }
