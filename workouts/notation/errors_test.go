package notation

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"example.org/rungs/workouts"
	"github.com/google/go-cmp/cmp"
)

// want is one diagnostic: line, column and length in characters.
type want struct {
	line, column, length int
	code, message, hint  string
}

// mistakes are wrong inputs with all that is said of each.
var mistakes = []struct {
	src  string
	want []want
}{
	{"10kms easy", []want{
		{1, 3, 3, "unit", "unknown unit \"kms\"", "use km or m"},
	}},
	{"5 x 400", []want{
		{1, 5, 3, "unit", "400 of what?", "write 400m or 400s"},
	}},
	{"5 x 40", []want{
		{1, 5, 2, "unit", "40 of what?", "write 40:00, 40km or 40s"},
	}},
	{"30 easy", []want{
		{1, 1, 2, "unit", "30 of what?", "write 30:00, 30km or 30s"},
	}},
	{"1,5km", []want{
		{1, 1, 3, "amount", "a comma within a number", "write a decimal point: 1.5"},
	}},
	{"1,000m", []want{
		{1, 1, 5, "amount", "a comma within a number", "write 1000 without it, or a decimal point"},
	}},
	{"3-4km easy", []want{
		{1, 1, 3, "amount", "a range is not an amount", "settle on one; a plan has to be definite"},
	}},
	{"0m", []want{
		{1, 1, 2, "amount", "an amount of nothing", "take the step out, or write \"open\" when its length is left to the runner"},
	}},
	{"0:00", []want{
		{1, 1, 4, "amount", "an amount of nothing", "take the step out, or write \"open\" when its length is left to the runner"},
	}},
	{"0s easy", []want{
		{1, 1, 2, "amount", "an amount of nothing", "take the step out, or write \"open\" when its length is left to the runner"},
	}},
	{"-5:00", []want{
		{1, 1, 2, "amount", "an amount cannot be negative", "take out the minus sign; a list of steps needs none"},
	}},
	{"3:5", []want{
		{1, 1, 3, "clock", "\"5\" after a colon", "after a colon stand two digits, as in 3:05"},
	}},
	{"3:75", []want{
		{1, 1, 4, "clock", "\"75\" after a colon", "after a colon the most is 59; 75 seconds are 1:15, 75 minutes 1:15:00"},
	}},
	{"3:60:00", []want{
		{1, 1, 7, "clock", "\"60\" after a colon", "after a colon the most is 59; 75 seconds are 1:15, 75 minutes 1:15:00"},
	}},
	{"1:2:3:4", []want{
		{1, 1, 6, "clock", "not a time of the clock", "write minutes:seconds, as in 3:05, or hours:minutes:seconds"},
	}},
	{"3:", []want{
		{1, 1, 2, "clock", "not a time of the clock", "write minutes:seconds, as in 3:05, or hours:minutes:seconds"},
	}},
	{"1.5:00", []want{
		{1, 1, 3, "clock", "1.5 before a colon", "only the seconds may have a fraction"},
	}},
	{"3:00.5", []want{
		{1, 1, 6, "precision", "a fraction of a second", "the amount of a step is whole seconds"},
	}},
	{"3:00.55", []want{
		{1, 1, 7, "precision", "finer than a tenth of a second", "one decimal at most"},
	}},
	{"1.2345km", []want{
		{1, 1, 8, "precision", "too fine an amount", "whole seconds, whole metres, or three decimals of a km or a mile"},
	}},
	{"22.5s", []want{
		{1, 1, 5, "precision", "too fine an amount", "whole seconds, whole metres, or three decimals of a km or a mile"},
	}},
	{"1.5m", []want{
		{1, 1, 4, "precision", "too fine an amount", "whole seconds, whole metres, or three decimals of a km or a mile"},
	}},
	{"2000km", []want{
		{1, 1, 6, "limit", "more than 7 days or 1000 km in one step", "is it mistyped?"},
	}},
	{"900000000000h", []want{
		{1, 1, 13, "limit", "more than 7 days or 1000 km in one step", "is it mistyped?"},
	}},
	{"1h75min", []want{
		{1, 1, 7, "clock", "\"75\" is too much after \"h\"", "the second part of a time runs to 59"},
	}},
	{"500000:00", []want{
		{1, 1, 9, "limit", "more than 7 days or 1000 km in one step", "is it mistyped?"},
	}},
	{"440y", []want{
		{1, 4, 1, "unit", "unknown unit \"y\"", "use m, km or mi: 440 yards are 402m"},
	}},
	{"2m30s", []want{
		{1, 2, 1, "unit", "\"m\" stands for metres", "write minutes as 2:30 or 2min30s"},
	}},
	{"easy 10:00", []want{
		{1, 1, 4, "amount", "a step starts with an amount, not with \"easy\"", "write the amount before the manner: 10:00 easy"},
	}},
	{"rest 2:00", []want{
		{1, 1, 4, "amount", "a step starts with an amount, not with \"rest\"", "write the amount first, 2:00 jog; a rest between repeats stands after \"off\""},
	}},
	{"10:00 esy", []want{
		{1, 7, 3, "manner", "unknown manner \"esy\"", "did you mean \"easy\"?"},
	}},
	{"10:00 jgo", []want{
		{1, 7, 3, "manner", "unknown manner \"jgo\"", "did you mean \"jog\"?"},
	}},
	{"10:00 jogging", []want{
		{1, 7, 7, "manner", "unknown manner \"jogging\"", "did you mean \"jog\"?"},
	}},
	{"10:00 in", []want{
		{1, 7, 2, "manner", "unknown manner \"in\"", "write the target as a pace: @ 3:45/km"},
	}},
	{"10:00 xyz", []want{
		{1, 7, 3, "manner", "unknown manner \"xyz\"", "the manners are warm, cool, easy, steady, work, float, jog, walk, stand; a reference pace stands after \"@\": @ xyz"},
	}},
	{"10:00 tempo", []want{
		{1, 7, 5, "manner", "unknown manner \"tempo\"", "the manners are warm, cool, easy, steady, work, float, jog, walk, stand; a reference pace stands after \"@\": @ tempo"},
	}},
	{"400m stand", []want{
		{1, 1, 10, "manner", "nobody stands a distance", "stand for a time, or walk the distance"},
	}},
	{"5 x 400m off 90s work", []want{
		{1, 18, 4, "manner", "a rest cannot be \"work\"", "a rest is stand, walk, jog, float, easy or steady"},
	}},
	{"5 x 400m off 90s cool", []want{
		{1, 18, 4, "manner", "a rest cannot be \"cool\"", "a rest is stand, walk, jog, float, easy or steady"},
	}},
	{"10:00 rest", []want{
		{1, 7, 4, "manner", "unknown manner \"rest\"", "a rest between repeats stands after \"off\"; one of its own is written 90s stand, walk or jog"},
	}},
	{"10:00 easy jog", []want{
		{1, 12, 3, "manner", "the manner \"jog\" has no place here", "one manner a step, before the \"@\": 10:00 easy @ 5:30/km"},
	}},
	{"10:00 @ 5:30/km easy", []want{
		{1, 17, 4, "manner", "the manner \"easy\" has no place here", "one manner a step, before the \"@\": 10:00 easy @ 5:30/km"},
	}},
	{"5:00 km", []want{
		{1, 6, 2, "unit", "the unit \"km\" has no place here", "one unit an amount; a time of two parts is written 1:30 or 1h30min"},
	}},
	{"0 x 400m", []want{
		{1, 1, 1, "count", "repeated no times at all", "take the step out, or repeat it at least once"},
	}},
	{"1000 x 400m", []want{
		{1, 1, 4, "count", "too many repeats", "the most is 999"},
	}},
	{"2.5 x 400m", []want{
		{1, 1, 3, "count", "2.5 is not a number of repeats", "repeats are whole numbers: 5 x 400m"},
	}},
	{"3 x 4 x 400m", []want{
		{1, 5, 3, "count", "two counts in a row", "put the inner repeat in a group: 3 x ( 4 x 400m off 60s )"},
	}},
	{"x 400m", []want{
		{1, 1, 1, "count", "\"x\" has no count before it", "the count stands first: 5 x 400m"},
	}},
	{"400m x 5", []want{
		{1, 6, 1, "count", "\"x\" has no count before it", "the count stands first: 5 x 400m"},
	}},
	{"3 x", []want{
		{1, 4, 1, "amount", "a step starts with an amount, not with the end of the line", "write the amount first, for example 10:00, 400m or open"},
	}},
	{"5 x + 3:00", []want{
		{1, 5, 1, "amount", "a step starts with an amount, not with \"+\"", "write the amount first, for example 10:00, 400m or open"},
	}},
	{"400m off 60s", []want{
		{1, 6, 3, "rest", "a rest, but nothing is repeated", "a rest stands between repeats; for a break after one step write \"+ 2:00 jog\""},
	}},
	{"5 x 400m off", []want{
		{1, 13, 1, "amount", "a rest starts with an amount, not with the end of the line", "write the amount first, for example 10:00, 400m or open"},
	}},
	{"5 x 400m off 60s off 30s", []want{
		{1, 18, 3, "rest", "a second \"off\"", "one rest is enough; put groups in ( ) to rest between them too"},
	}},
	{"5 x 400m off ( 30s + 30s )", []want{
		{1, 14, 1, "rest", "a rest is one step", "put the rest into the group: 5 x ( 400m + 30s stand + 200m jog )"},
	}},
	{"5 x 400m off 2 x 30s", []want{
		{1, 14, 1, "rest", "a rest is one step", "put the rest into the group: 5 x ( 400m + 30s stand + 200m jog )"},
	}},
	{"off 60s", []want{
		{1, 1, 3, "rest", "nothing stands before this \"off\"", "a rest follows what is repeated: 5 x 400m off 90s"},
	}},
	{"5 x 400m 90s jog", []want{
		{1, 10, 2, "join", "two steps run together at \"90\"", "put \"+\" between steps, or \"off\" before a rest"},
	}},
	{"5 x 400m, 5:00 cool", []want{
		{1, 9, 1, "join", "\",\" cannot join steps", "join steps with \"+\""},
	}},
	{"5 x 400m / 90s", []want{
		{1, 10, 1, "join", "\"/\" cannot join steps", "write \"off\" before a rest: 5 x 3:00 off 90s jog"},
	}},
	{"10:00 warm 5 x 400m", []want{
		{1, 12, 1, "join", "two steps run together at \"5\"", "put \"+\" between steps, or \"off\" before a rest"},
	}},
	{"+ 10:00", []want{
		{1, 1, 1, "plus", "nothing stands before this \"+\"", "put one \"+\" between two steps"},
	}},
	{"10:00 +", []want{
		{1, 7, 1, "plus", "nothing stands after this \"+\"", "put one \"+\" between two steps"},
	}},
	{"10:00 ++ 5:00", []want{
		{1, 8, 1, "plus", "nothing stands before this \"+\"", "put one \"+\" between two steps"},
	}},
	{"3 x ( 400m + )", []want{
		{1, 12, 1, "plus", "nothing stands after this \"+\"", "put one \"+\" between two steps"},
	}},
	{"3 x ( + 400m )", []want{
		{1, 7, 1, "plus", "nothing stands before this \"+\"", "put one \"+\" between two steps"},
	}},
	{"3 x ( 400m", []want{
		{1, 5, 1, "parenthesis", "this \"(\" is never closed", "put a \")\" where the group ends"},
	}},
	{"400m )", []want{
		{1, 6, 1, "parenthesis", "this \")\" closes nothing", "take it out, or put a \"(\" where the group begins"},
	}},
	{")", []want{
		{1, 1, 1, "parenthesis", "this \")\" closes nothing", "take it out, or put a \"(\" where the group begins"},
	}},
	{"3 x ( )", []want{
		{1, 5, 3, "empty", "an empty group", "put steps between ( and ), or take them out"},
	}},
	{"[400m]", []want{
		{1, 1, 1, "character", "the character \"[\" has no meaning here", "groups stand in ( )"},
	}},
	{"3 x {400m}", []want{
		{1, 5, 1, "character", "the character \"{\" has no meaning here", "groups stand in ( )"},
	}},
	{"~10:00", []want{
		{1, 1, 1, "character", "the character \"~\" has no meaning here", "give the amount as planned; a target may have a tolerance: @ 3:50/km ±3s"},
	}},
	{"10:00 & 5:00", []want{
		{1, 7, 1, "character", "the character \"&\" has no meaning here", "join steps with \"+\""},
	}},
	{".5km", []want{
		{1, 1, 1, "character", "the character \".\" has no meaning here", "a decimal point stands between digits: 0.5km"},
	}},
	{"10:00 ! 5:00", []want{
		{1, 7, 1, "character", "the character \"!\" has no meaning here", "take it out"},
	}},
	{"((((((((( 400m )))))))))", []want{
		{1, 9, 1, "depth", "groups are nested too deep", "groups may stand 8 deep"},
	}},
	{"999 x 400m + 999 x ( 10 x 400m )", []want{
		{1, 14, 1, "limit", "with this the workout has more than 5000 steps", "is a count or an amount mistyped?"},
	}},
	{"100 x 24h", []want{
		{1, 1, 1, "limit", "with this the workout lasts more than 7 days", "is a count or an amount mistyped?"},
	}},
	{"999 x 50km", []want{
		{1, 1, 1, "limit", "with this the workout is longer than 1000 km", "is a count or an amount mistyped?"},
	}},
	{"400m @", []want{
		{1, 7, 1, "target", "the end of the line is not a target", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ 3:45", []want{
		{1, 8, 4, "pace", "a pace without a unit", "write 3:45/km or 3:45/mi"},
	}},
	{"400m @ 75s", []want{
		{1, 8, 3, "pace", "a pace without a unit", "write 3:07.5/km, which is 1:15 for 400m"},
	}},
	{"400m @ 1:15", []want{
		{1, 8, 4, "pace", "a pace without a unit", "write 3:07.5/km, which is 1:15 for 400m"},
	}},
	{"1mi @ 6:00", []want{
		{1, 7, 4, "pace", "a pace without a unit", "write 6:00/km or 6:00/mi"},
	}},
	{"5:00 @ 3:45", []want{
		{1, 8, 4, "pace", "a pace without a unit", "write 3:45/km or 3:45/mi"},
	}},
	{"5:00 @ 225s", []want{
		{1, 8, 4, "pace", "a pace without a unit", "write 3:45/km or 3:45/mi"},
	}},
	{"400m @ 16", []want{
		{1, 8, 2, "pace", "16 of what?", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ 3:45/h", []want{
		{1, 13, 1, "pace", "a pace per \"h\"", "a pace is per km or per mile: 3:45/km, 6:00/mi"},
	}},
	{"400m @ 3:45/400m", []want{
		{1, 13, 3, "pace", "a pace per \"400\"", "a pace is per km or per mile: 3:45/km, 6:00/mi"},
	}},
	{"400m @ 4/km", []want{
		{1, 8, 4, "pace", "a pace without seconds", "write minutes and seconds: 4:00/km"},
	}},
	{"400m @ 16km/s", []want{
		{1, 13, 1, "pace", "a speed per \"s\"", "a speed is per hour: 16km/h, 10mph"},
	}},
	{"400m @ 3:45km/h", []want{
		{1, 8, 8, "pace", "a clock time with a unit of speed", "a speed is a number: 16km/h; a pace is per km or per mile: 3:45/km"},
	}},
	{"400m @ 3:45 mph", []want{
		{1, 8, 8, "pace", "a clock time with a unit of speed", "a speed is a number: 16km/h; a pace is per km or per mile: 3:45/km"},
	}},
	{"400m @ 0:50/km", []want{
		{1, 8, 7, "pace", "no one runs at 0:50/km", "between 1:30/km and 60:00/km, 1km/h and 40km/h"},
	}},
	{"400m @ 99km/h", []want{
		{1, 8, 6, "pace", "no one runs at 99km/h", "between 1:30/km and 60:00/km, 1km/h and 40km/h"},
	}},
	{"400m @ 16.555km/h", []want{
		{1, 8, 6, "precision", "too fine a speed", "two decimals at most"},
	}},
	{"400m @ 3:45.25/km", []want{
		{1, 8, 7, "precision", "finer than a tenth of a second", "one decimal at most"},
	}},
	{"400m @ 3:45/km 3:50/km", []want{
		{1, 16, 1, "join", "two steps run together at \"3\"", "put \"+\" between steps, or \"off\" before a rest"},
	}},
	{"400m @ 4:00 to 3:45/km", []want{
		{1, 13, 2, "target", "\"to\" may mean two things", "write \"-\" for a band, or \"->\" for a progression from the first rep to the last"},
	}},
	{"400m @ 4:05 -> half", []want{
		{1, 8, 4, "pace", "a pace without a unit", "write 4:05/km or 4:05/mi"},
	}},
	{"400m @ ->", []want{
		{1, 8, 2, "target", "\"->\" is not a target", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ 4:00 ->", []want{
		{1, 15, 1, "target", "the end of the line is not a target", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ 4:00/km @ zone 2", []want{
		{1, 16, 1, "target", "a second \"@\"", "one target a step; bands are 3:50-4:00/km, progressions 4:00 -> 3:50/km"},
	}},
	{"400m @ <4:00/km", []want{
		{1, 8, 8, "heart", "\"<\" before what is not a heart rate", "\"<\" and \">\" are for heart rate: <150bpm, <80%max; a pace has a band: 3:50-4:00/km"},
	}},
	{"400m @ faster", []want{
		{1, 8, 6, "target", "\"faster\" is not a target", "each rep quicker than the last is \"quicker\"; from one pace to another is 4:05 -> 3:45/km"},
	}},
	{"400m @ quicker 2s", []want{
		{1, 16, 2, "target", "\"by\" is missing", "write quicker by 2s"},
	}},
	{"400m @ quicker by", []want{
		{1, 18, 1, "offset", "the end of the line is not a number of seconds", "write seconds: 3s, or 3s/km"},
	}},
	{"400m @ quicker by 2", []want{
		{1, 19, 1, "offset", "\"2\" is not a number of seconds", "write seconds: 2s, or 2s/km"},
	}},
	{"400m @ quicker by 0s", []want{
		{1, 16, 5, "target", "quicker by nothing", "\"quicker\" alone asks for any gain"},
	}},
	{"400m @ quicker by 700s", []want{
		{1, 19, 4, "limit", "too large a difference of pace", "the most is 600s"},
	}},
	{"400m @ half -5", []want{
		{1, 13, 2, "offset", "an offset without a unit", "write seconds: half -5s"},
	}},
	{"400m @ half -5.25s", []want{
		{1, 14, 5, "precision", "finer than a tenth of a second", "one decimal at most"},
	}},
	{"400m @ half +5s/h", []want{
		{1, 17, 1, "pace", "a pace per \"h\"", "a pace is per km or per mile: 3:45/km, 6:00/mi"},
	}},
	{"10:00 @ half +45s jog", []want{
		{1, 14, 4, "target", "an offset of the pace, or the next step?", "for a step of its own put a blank after the \"+\""},
	}},
	{"400m @ 3:45/km ±3", []want{
		{1, 17, 1, "offset", "\"3\" is not a number of seconds", "write seconds: 3s, or 3s/km"},
	}},
	{"400m @ 3:45/km ±", []want{
		{1, 17, 1, "offset", "the end of the line is not a number of seconds", "write seconds: 3s, or 3s/km"},
	}},
	{"400m ±3s", []want{
		{1, 6, 1, "tolerance", "this tolerance belongs to no target", "write it after a target: @ 3:50/km ±3s"},
	}},
	{"400m @ 150bpm ±3s", []want{
		{1, 15, 1, "tolerance", "a heart target has no tolerance", "write the range itself: 150-160bpm"},
	}},
	{"400m @ 85%", []want{
		{1, 8, 3, "heart", "a percentage of what?", "say of what: 85%max, or 75%reserve"},
	}},
	{"400m @ 85-90", []want{
		{1, 8, 2, "pace", "85 of what?", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ 85-90%", []want{
		{1, 11, 3, "heart", "a percentage of what?", "say of what: 85%max, or 75%reserve"},
	}},
	{"400m @ 160-150bpm", []want{
		{1, 8, 10, "heart", "bounds the wrong way round", "the lower bound stands first: 150-160bpm"},
	}},
	{"400m @ 150-80%max", []want{
		{1, 8, 3, "heart", "no heart beats at 150%max", "between 1 and 100%max"},
	}},
	{"400m @ 150bpm -> 160bpm", []want{
		{1, 8, 16, "heart", "a heart rate cannot progress from rep to rep", "give the range to stay in: 150-160bpm"},
	}},
	{"400m @ 3:45-150bpm", []want{
		{1, 8, 11, "heart", "a heart rate mixed with something else", "both bounds in one unit: 150-160bpm, 85-90%max"},
	}},
	{"400m @ 300bpm", []want{
		{1, 8, 6, "heart", "no heart beats at 300bpm", "between 30 and 250bpm"},
	}},
	{"400m @ 120%max", []want{
		{1, 8, 7, "heart", "no heart beats at 120%max", "between 1 and 100%max"},
	}},
	{"400m @ zone", []want{
		{1, 12, 1, "heart", "no such zone: the end of the line", "zones are whole numbers from 1 to 9: zone 4"},
	}},
	{"400m @ zone 0", []want{
		{1, 13, 1, "heart", "no such zone: \"0\"", "zones are whole numbers from 1 to 9: zone 4"},
	}},
	{"400m @ zone 12", []want{
		{1, 13, 2, "heart", "no such zone: \"12\"", "zones are whole numbers from 1 to 9: zone 4"},
	}},
	{"400m @ zone 3-2", []want{
		{1, 8, 8, "heart", "zones the wrong way round", "the lower zone stands first: zone 2-3"},
	}},
	{"400m @ zone 2.5", []want{
		{1, 13, 3, "heart", "no such zone: \"2.5\"", "zones are whole numbers from 1 to 9: zone 4"},
	}},
	{"400m @ 10.5k", []want{
		{1, 8, 5, "target", "\"10.5k\" is not a target", "a reference pace is called by letters and digits: half, 10k, threshold"},
	}},
	{"nmae: Tuesday\n10:00 easy", []want{
		{1, 1, 4, "header", "unknown header key \"nmae\"", "did you mean \"name\"?"},
	}},
	{"nam: Tuesday\n10:00 easy", []want{
		{1, 1, 3, "header", "unknown header key \"nam\"", "did you mean \"name\"?"},
	}},
	{"speed: fast\n10:00 easy", []want{
		{1, 1, 5, "header", "unknown header key \"speed\"", "the header has name, tags and note"},
	}},
	{"name: a\nname: b\n10:00 easy", []want{
		{2, 1, 4, "header", "a second name", "keep one of them"},
	}},
	{"10:00 easy\nname: Tuesday", []want{
		{2, 1, 5, "header", "a header line below the first step", "move it to the top of the file, above the steps"},
	}},
	{"", []want{
		{1, 1, 1, "empty", "there is no step here", "write a step, for example 30:00 easy"},
	}},
	{"# nothing", []want{
		{1, 10, 1, "empty", "there is no step here", "write a step, for example 30:00 easy"},
	}},
	{"name: Tuesday\n", []want{
		{2, 1, 1, "empty", "there is no step here", "write a step, for example 30:00 easy"},
	}},
	{"10:00 esy + 5 x 400 off 90s + 3:75 cool", []want{
		{1, 7, 3, "manner", "unknown manner \"esy\"", "did you mean \"easy\"?"},
		{1, 17, 3, "unit", "400 of what?", "write 400m or 400s"},
		{1, 31, 4, "clock", "\"75\" after a colon", "after a colon the most is 59; 75 seconds are 1:15, 75 minutes 1:15:00"},
	}},
	{"ä 10:00", []want{
		{1, 1, 1, "amount", "a step starts with an amount, not with \"ä\"", "write the amount first, for example 10:00, 400m or open"},
	}},
	{"5 × 400 off 60s", []want{
		{1, 5, 3, "unit", "400 of what?", "write 400m or 400s"},
	}},
	{"10:00 easy\t@ 5:3/km", []want{
		{1, 14, 3, "clock", "\"3\" after a colon", "after a colon stand two digits, as in 3:05"},
	}},
	{"10:00 easy + 5:00\u200bcool", []want{
		{1, 18, 1, "character", "the character U+200B has no meaning here", "take it out"},
	}},
	{"400m @ 1234567890km/h", []want{
		{1, 8, 10, "limit", "too long a number", "is it mistyped?"},
	}},
	{"400m @ 150 -> 3:45/km", []want{
		{1, 8, 3, "pace", "a pace without seconds", "write minutes and seconds: 3:45/km"},
	}},
	{"400m @ 4:00/km - 16km/s", []want{
		{1, 23, 1, "pace", "a speed per \"s\"", "a speed is per hour: 16km/h, 10mph"},
	}},
	{"400m @ <", []want{
		{1, 9, 1, "target", "the end of the line is not a target", "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"},
	}},
	{"400m @ zone 2-x", []want{
		{1, 14, 1, "join", "did not expect \"-\" here", "after a step comes \"+\", \"off\" or a new line"},
	}},
	{"400m @ 3:45 per lap", []want{
		{1, 17, 3, "pace", "a pace per \"lap\"", "a pace is per km or per mile: 3:45/km, 6:00/mi"},
	}},
	{"400m @ 3.5:00/km", []want{
		{1, 8, 3, "clock", "3.5 before a colon", "only the seconds may have a fraction"},
	}},
	{"10:00 easy | 5:00", []want{
		{1, 12, 1, "character", "the character \"|\" has no meaning here", "join steps with \"+\""},
	}},
	{"10:00 easy : 5:00", []want{
		{1, 12, 1, "join", "did not expect \":\" here", "after a step comes \"+\", \"off\" or a new line"},
	}},
	{"5:00 @ 400m/km", []want{
		{1, 12, 1, "join", "\"/\" cannot join steps", "write \"off\" before a rest: 5 x 3:00 off 90s jog"},
	}},
	{"400m @ aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", []want{
		{1, 8, 35, "target", "too long a name for a reference pace", "30 letters at most"},
	}},
	{"400m @ 70% of", []want{
		{1, 8, 3, "heart", "a percentage of what?", "say of what: 85%max, or 75%reserve"},
	}},
	{"10:00 easy @ \xff5:00/km", []want{
		{1, 14, 1, "target", "U+FFFD is not a target", targetHint},
	}},
}

func init() {
	seen := map[string]bool{}
	for _, m := range mistakes {
		if seen[m.src] {
			panic("the same mistake twice: " + m.src)
		}
		seen[m.src] = true
	}
}

func TestMistakes(t *testing.T) {
	if len(mistakes) < 60 {
		t.Fatalf("only %d mistakes", len(mistakes))
	}
	codes := map[string]bool{codeTooBig: true} // has a test of its own
	for _, m := range mistakes {
		w, err := Parse("plan.txt", m.src)
		ds, ok := err.(Diagnostics)
		if !ok {
			t.Errorf("%q: no Diagnostics but %v", m.src, err)
			continue
		}
		var got []want
		for _, d := range ds {
			got = append(got, want{d.Line, d.Column, d.Length, d.Code, d.Message, d.Hint})
			codes[d.Code] = true
			if d.File != "plan.txt" {
				t.Errorf("%q: file %q", m.src, d.File)
			}
			if source := strings.Split(m.src, "\n")[d.Line-1]; d.SourceLine != workouts.PrintableLine(source) {
				t.Errorf("%q: source line %q", m.src, d.SourceLine)
			}
		}
		if diff := cmp.Diff(m.want, got, cmp.AllowUnexported(want{})); diff != "" {
			t.Errorf("%q:\n%s", m.src, diff)
		}
		if diff := cmp.Diff(workouts.Workout{}, w); diff != "" {
			t.Errorf("%q gave a workout as well:\n%s", m.src, diff)
		}
		checkDiagnostics(t, m.src, err)
	}
	for _, code := range allCodes(t) {
		if !codes[code] {
			t.Errorf("no mistake is about %q", code)
		}
	}
}

// allCodes reads the codes out of the source, so that none can be forgotten.
func allCodes(t *testing.T) []string {
	t.Helper()
	src, err := os.ReadFile("codes.go")
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, m := range regexp.MustCompile(`code[A-Z]\w+\s*= "(.*)"`).FindAllStringSubmatch(string(src), -1) {
		codes = append(codes, m[1])
	}
	if len(codes) < 15 {
		t.Fatalf("found only %q", codes)
	}
	return codes
}

func TestDiagnosticText(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"plan.txt", "10:00 warm\n5 x 3kms off 90s", `plan.txt:2:6: unknown unit "kms"
    5 x 3kms off 90s
         ^^^
use km or m`},
		{"", "10:00 esy", `1:7: unknown manner "esy"
    10:00 esy
          ^^^
did you mean "easy"?`},
		// The caret counts characters, not bytes, and keeps tabs.
		{"p", "5\t× ö 3", "p:1:5: a step starts with an amount, not with \"ö\"\n    5\t× ö 3\n     \t  ^\nwrite the amount first, for example 10:00, 400m or open"},
		// A mistake at the end of the line has its caret behind it.
		{"p", "5 x", "p:1:4: a step starts with an amount, not with the end of the line\n    5 x\n       ^\nwrite the amount first, for example 10:00, 400m or open"},
		// Control characters never reach the terminal.
		{"p", "5:00 \x1b[31m", "p:1:6: the character U+001B has no meaning here\n    5:00 \ufffd[31m\n         ^\ntake it out"},
		// Two mistakes in one run.
		{"p", "5:00 esy + 3kms", `p:1:6: unknown manner "esy"
    5:00 esy + 3kms
         ^^^
did you mean "easy"?
p:1:13: unknown unit "kms"
    5:00 esy + 3kms
                ^^^
use km or m`},
		// Of a long line only the surroundings are shown.
		{"p", strings.Repeat("1:00 + ", 60) + "1:00 esy" + strings.Repeat(" + 1:00", 60), `p:1:426: unknown manner "esy"
    …` + (strings.Repeat("1:00 + ", 60) + "1:00 esy" + strings.Repeat(" + 1:00", 60))[375:475] + `…
` + strings.Repeat(" ", 4+51) + `^^^
did you mean "easy"?`},
	} {
		_, err := Parse(c.name, c.src)
		if err == nil {
			t.Errorf("%q was accepted", c.src)
			continue
		}
		if diff := cmp.Diff(c.want, err.Error()); diff != "" {
			t.Errorf("%q:\n%s", c.src, diff)
		}
	}
}

func TestDiagnosticJSON(t *testing.T) {
	_, err := Parse("plan.txt", "3kms")
	got, jsonErr := json.Marshal(err)
	if jsonErr != nil {
		t.Fatal(jsonErr)
	}
	want := `[{"file":"plan.txt","line":1,"column":2,"length":3,"code":"unit","message":"unknown unit \"kms\"","hint":"use km or m"}]`
	if string(got) != want {
		t.Errorf("got %s", got)
	}
}

// Texts made to be slow, deep or long are refused with a reason.
func TestHostileTexts(t *testing.T) {
	for _, c := range []struct {
		name, src, code string
		count           int // of diagnostics
	}{
		{"more bytes than allowed", strings.Repeat("1:00 + ", workouts.MaxBytes/7+1) + "1:00", codeTooBig, 1},
		{"open parentheses", strings.Repeat("(", workouts.MaxBytes), codeDepth, 9},
		{"closing parentheses", strings.Repeat(")\n", workouts.MaxBytes/2), codeParen, maxDiagnostics},
		{"counts upon counts", "999 x ( 999 x ( 999 x ( 999 x ( 999 x ( 999 x 1:00 + 1:00 ) + 1:00 ) + 1:00 ) + 1:00 ) + 1:00 )", codeLimit, 1},
		{"plus signs", strings.Repeat("+", workouts.MaxBytes), codePlus, 1},
		{"one mistake over and over", strings.Repeat("1kms+", workouts.MaxBytes/5), codeUnit, maxDiagnostics},
		{"digits", strings.Repeat("9", workouts.MaxBytes), codeUnit, 1},
		{"digits with a unit", strings.Repeat("9", workouts.MaxBytes-1) + "m", codeLimit, 1},
		{"colons", "1" + strings.Repeat(":00", 20000), codeClock, 1},
		{"letters", strings.Repeat("a", workouts.MaxBytes), codeAmount, 1},
		{"a long name", "1:00 @ " + strings.Repeat("a", 60000), codeTarget, 1},
		{"header keys", strings.Repeat("a: b\n", 10000), codeHeader, maxDiagnostics},
		{"bytes that are no text", strings.Repeat("\xff", 50000), codeCharacter, 1},
	} {
		_, err := Parse("p", c.src)
		ds, ok := err.(Diagnostics)
		if !ok || ds[0].Code != c.code && ds[len(ds)-1].Code != c.code || len(ds) != c.count {
			t.Errorf("%s: got %d diagnostics, the first %v", c.name, len(ds), ds[0].Summary())
			continue
		}
		if n := len(err.Error()); n > 20000 {
			t.Errorf("%s: %d bytes of error", c.name, n)
		}
	}
}

// The time per byte must not grow with the length: compare the figures.
func BenchmarkParse(b *testing.B) {
	for _, n := range []int{100, 1000, 2400} {
		for name, src := range map[string]string{
			"steps":    strings.Repeat("3 x ( 400m @ half -5s + 200m jog )\n", n),
			"mistakes": strings.Repeat("3 x ( 400m @ half -5 + 200 jog\n", n),
			"comments": strings.Repeat("# a comment on a line of its own\n", n),
		} {
			src := src[:min(len(src), workouts.MaxBytes)]
			b.Run(fmt.Sprint(name, "/", n), func(b *testing.B) {
				b.SetBytes(int64(len(src)))
				for b.Loop() {
					_, _ = Parse("p", src)
				}
			})
		}
	}
}
