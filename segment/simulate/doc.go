// Package simulate makes runs whose truth is known: a simulated runner, with
// an intent for every leg, seen through a simulated device. It feeds tests,
// the demo recordings and the calibration of the splitter. Nothing it makes
// comes from a real person's run.
//
// What is run comes from [Kinds], a catalogue of named sessions, or from [Grammar] and
// [GrammarSteady], which draw from far more than anybody would name. What sees it is one of
// [Devices], or one of [FurtherDevices] with the worse faults of real recordings.
//
// # What is true
//
// A true edge is the moment the runner's intent changes: what a perfectly
// timed lap press would mark. The legs speed up and slow down around it within
// a few seconds, and a device shows it later still. True distances and paces
// are those of the body over the ground or belt, not of the device's odometer,
// which is wrong by a scale common to the whole run ([Truth.Scale]). On a
// track a leg of 800 m ends after 800 true metres. On the road it ends when
// the device's odometer says 800 m, as the runner can know no better.
//
// Traffic stops do not split a leg: [Truth.Stops] lists them beside the legs. Nor do
// corners, company and drills ([Shift]), which nobody meant.
//
// # Exactly as meant
//
// A split is exactly as meant when the canonical notation of what it found,
// without targets, is byte for byte [Truth.Notation]: count, order and nesting
// of the steps, every amount as intended (not as executed: a runner's 15:00
// may last 15:06), and the manner of the recoveries. For an unstructured run
// the notation is empty and exactly as meant is a split with no work in it.
// [Truth.Main] is the same without warm-up, cool-down and easy running at
// either end, for a comparison of the main set alone. A recovery that is
// partly stood and partly jogged is written as a jog. A length that nobody
// meant, such as the wait before a race, is written open. Where several
// writings are fair, the shortest is meant.
//
// Size: runners, courses and devices are parts of one simulated run.
package simulate
