//! What a whole flow must hold.

use super::super::Explanation;

pub(in crate::check::explain) static EXPLANATIONS: &[Explanation] = &[
    Explanation {
        code: "unreached",
        what: "A step that no way leads to, no `skip to` either, from the first step or from where the retest begins.",
        why: "It is never walked: a leftover, or a `go` that names the wrong step.",
        before: "- {when: always, go: judge}       # and nothing leads to `search`",
        after: "- {when: always, go: search}",
    },
    Explanation {
        code: "dead-end",
        what: "A step with no outcome at all.",
        why: "There the technician stands, and nothing says what comes next.",
        before: "outcomes: []",
        after: "outcomes: [{when: always, go: done}]",
    },
    Explanation {
        code: "no-way-out",
        what: "Steps that lead only to one another: from none of them can the walk reach `done`, a repair or another flow. Or \
               steps that do so with some readings which none of them takes anew.",
        why: "Whoever comes there goes round for ever: what is not read again does not come out otherwise.",
        before: "- id: again\n  outcomes: [{when: always, go: again}]",
        after: "- id: again\n  outcomes:\n    - {id: steady, when: {float: {is: steady}}, because: It stands still, go: done}\n    \
                - {id: moves, when: {float: {is: still falling}}, because: Wait, go: again}",
    },
    Explanation {
        code: "no-block-off",
        what: "A step of the phase `pressurise` can be reached without passing one of the phase `block-off`, or by \
               skipping it: `skip to` is a way as well.",
        why: "The pressure goes into an open system, or into one that it should be kept out of.",
        before: "- {id: fill, phase: pressurise, ...}     # as the first step",
        after: "- {id: plug, phase: block-off, ...}\n- {id: fill, phase: pressurise, ...}",
    },
    Explanation {
        code: "no-limit",
        what: "A pressure is read while pressurising, and nothing says what it must never exceed.",
        why: "Seals, radiators and tanks have burst at pressures that a gauge shows without complaint. Above the limit the \
              step stops and the caution is shown. A pressure that no supply sets needs none: `is: idle manifold \
              pressure` or `is: barometer` says so.",
        before: "set-pressure: {ask: Gauge, unit: kPa}",
        after: "set-pressure: {ask: Gauge, unit: kPa, never above: 7 kPa}",
    },
    Explanation {
        code: "no-caution",
        what: "Gas or pressure is fed into a system before the caution about it was accepted. For fuel vapour this is an \
               error, elsewhere a warning.",
        why: "Fuel vapour burns, a cooling system scalds, a plug that lets go is a shot. Whoever starts must have read that, \
              in this flow, today.",
        before: "system: fuel vapour",
        after: "system: fuel vapour\ncautions: [fuel-vapour]",
    },
    Explanation {
        code: "not-read",
        what: "A step is judged by a reading that neither it nor any step before it records, directly or through a worked \
               value; or that is recorded on one way to it and not on another.",
        why: "No screen asks for it, so the step can't be judged. Where another way reads it, the technician is led back there, \
              which costs time.",
        before: "- id: judge\n  outcomes: [{when: {kept: {at least: 90 %}}, ...}]     # and no step records end-pressure",
        after: "- id: hold\n  record: [start-pressure, end-pressure]\n  outcomes: [{when: always, go: judge}]",
    },
    Explanation {
        code: "short-retest",
        what: "The retest begins behind a step that leads to a repair, so that step is not walked again.",
        why: "A repair is proved by the test that found the fault. One leak can hide another, and the second would stay.",
        before: "retest: {from: handover}",
        after: "retest: {from: plug}",
    },
    Explanation {
        code: "gap",
        what: "There are readings that no outcome of the step fits. The message names some.",
        why: "Everything is read, and the program has nothing to suggest.",
        before: "{id: tight, when: {float: {below: 2 L/min}}, ...}\n{id: leaks, when: {float: {above: 2 L/min}}, ...}",
        after: "{id: tight, when: {float: {below: 2 L/min}}, ...}\n{id: leaks, when: {float: {at least: 2 L/min}}, ...}",
    },
    Explanation {
        code: "overlap",
        what: "There are readings that two outcomes fit, and these lead to different places. The message names some. Of \
               two that fit, the first in the list is taken. One that lies wholly within a later one is an exception and \
               is not reported, nor is `always` at the end of the list.",
        why: "Which way the walk takes would hang on the order of the lines, which nobody reads as meaning anything. It can be \
              walked, so this is a warning, at a limit (`at most` beside `at least`) as well as over a range.",
        before: "{id: tight, when: {float: {at most: 2 L/min}}, ...}\n{id: leaks, when: {float: {at least: 2 L/min}}, ...}",
        after: "{id: tight, when: {float: {below: 2 L/min}}, ...}\n{id: leaks, when: {float: {at least: 2 L/min}}, ...}",
    },
    Explanation {
        code: "never-taken",
        what: "Outcomes earlier in the list take everything that fits this one, or nothing that is plausible fits it at all.",
        why: "It reads as if it were considered, and it never is.",
        before: "{id: other, when: always, ...}\n{id: leaks, when: {float: {at least: 2 L/min}}, ...}",
        after: "{id: leaks, when: {float: {at least: 2 L/min}}, ...}\n{id: other, when: always, ...}",
    },
    Explanation {
        code: "never-holds",
        what: "The checks in a `valid when` or `only if` exclude one another, so that nothing can meet it. Or a condition under \
               `rules out if` cannot hold where its outcome is taken.",
        why: "The readings of such a step never count, such a reading is asked on no car, and such a cause is never ruled out.",
        before: "valid when: {start: {at least: 40 kPa, at most: 30 kPa}}",
        after: "valid when: {start: {between: 30..40 kPa}}",
    },
    Explanation {
        code: "too-many",
        what: "A step looks at so many things at once that not all of their combinations were looked through for gaps and \
               overlaps; or at values of which nobody can say what readings lead to them: from a whole sweep or \
               capture, or from more than two points.",
        why: "It may have a gap that nobody was told of. A technician cannot keep so much in view either.",
        before: "one step with conditions on ten readings",
        after: "two steps: the first settles some of them and leads on to the second",
    },
    Explanation {
        code: "no-unsure",
        what: "A step is judged by a number, and does not say what to do when the number is too close to its limit to call; \
               or by a reading that may be left out, and does not say what to do without it; or its readings count only with \
               one that may be left out.",
        why: "Every gauge has an error. Near the limit the program does not toss a coin: it asks for what you write here. What \
              was left out settles nothing either, and the technician must be led on.",
        before: "outcomes: [...]",
        after: "outcomes: [...]\nunsure: {because: Too close to call; read again, go: hold}",
    },
    Explanation {
        code: "no-valid-when",
        what: "A step of the phase `pressurise` or `inspect` is judged by a number that it reads itself, and does not say \
               when that reading counts.",
        why: "A float that still falls, or a gauge near nothing, would be judged like a sound reading.",
        before: "record: [float-steady, smoke-flow]",
        after: "record: [float-steady, smoke-flow]\nvalid when: {float-steady: {is: steady}}\n\
                not valid: {because: Wait until the float stands still, go: fill}",
    },
    Explanation {
        code: "unknown-gear",
        what: "A step needs gear that is not in the list at the top of the flow.",
        why: "That list is what is laid out beforehand; what is not on it is missing when the hands are full.",
        before: "gear: [lamp]\n...\n    gear: [mirror]",
        after: "gear: [lamp, mirror]\n...\n    gear: [mirror]",
    },
    Explanation {
        code: "unused",
        what: "Something is declared that nothing uses: a reading that no step records, a fact or a worked value that nothing shows \
               or judges by, a cause that no outcome finds, repairs or rules out, a gauge that nothing is read on.",
        why: "It is a leftover, or the place where it should be used was forgotten.",
        before: "readings:\n  end: {...}      # and no step has it in `record`",
        after: "record: [start, end]",
    },
    Explanation {
        code: "tells-nothing",
        what: "A cause shows nothing that a sound car does not show as well, or the same as another cause.",
        why: "No reading can ever speak for it or against it, so its odds never move.",
        before: "tank: {name: Tank cracked, odds: unlikely, repair: renew it}",
        after: "tank: {name: Tank cracked, odds: unlikely, repair: renew it, shows: {seen: {tank: very likely}}}",
    },
    Explanation {
        code: "no-retest",
        what: "The flow leads to a repair, and does not say where the test begins again after it.",
        why: "One leak can hide another. A repair is proved by the whole test, not by the part in the bin.",
        before: "go: {repair: joint}      # and no `retest`",
        after: "retest: {from: plug}",
    },
    Explanation {
        code: "proved-too-soon",
        what: "An end with `proved` can be reached in the first test, before anything was repaired.",
        why: "Proof is the test that passes after a repair. Here nothing was repaired that it could prove, and a complaint that \
              only did not show today would count as cured.",
        before: "{id: holds, when: {kept: {at least: 90 %}}, because: It holds, go: done, proved: \"yes\"}",
        after: "{id: holds, when: {kept: {at least: 90 %}, test-number: {below: 2}}, because: It holds, go: done}\n\
                {id: cured, when: {kept: {at least: 90 %}, test-number: {at least: 2}}, because: It holds now, ...}",
    },
    Explanation {
        code: "never-proved",
        what: "The flow leads to a repair, and no end of it that can be reached says `proved: \"yes\"`.",
        why: "The test after the repair can pass, and still the report says that the repair was not proved.",
        before: "{id: holds, when: {kept: {at least: 90 %}}, because: It holds, go: done}",
        after: "{id: holds, when: {kept: {at least: 90 %}, test-number: {below: 2}}, because: It holds, go: done}\n\
                {id: cured, when: {kept: {at least: 90 %}, test-number: {at least: 2}}, because: It holds now,\n\
                \u{20}go: done, proved: \"yes\"}",
    },
    Explanation {
        code: "idle-limit",
        what: "A limit `never above` that lies at twice what is plausible or more, where nothing comes to it, or below what \
               `valid when` asks for or all that is plausible, so that the step stops before its readings count. Or a limit in an outcome that lies \
               beyond all that is plausible, so that whatever is read meets it: 480 kPa for 48 kPa.",
        why: "A limit that never speaks guards nobody. One that is too low leaves the technician no way to do the step. One \
              that everything meets takes what was meant for the outcomes after it.",
        before: "set-pressure: {ask: Gauge, unit: kPa, plausible: 5..100 kPa, never above: 600 kPa}",
        after: "set-pressure: {ask: Gauge, unit: kPa, plausible: 5..100 kPa, never above: 60 kPa}",
    },
    Explanation {
        code: "far-unit",
        what: "The plausible range is written in a unit a hundred times or more larger or smaller than `unit`.",
        why: "A number that is typed without its unit is taken in `unit`. It would be far outside of what is plausible, and \
              what was meant is a thousand times more or less.",
        before: "set-pressure: {ask: Gauge, unit: Pa, plausible: 5..100 kPa}",
        after: "set-pressure: {ask: Gauge, unit: kPa, plausible: 5..100 kPa}",
    },
    Explanation {
        code: "no-not-valid",
        what: "A step says when its readings are valid, and not what to do where they are not.",
        why: "Readings that do not count lead nowhere: the technician stands before the step, and nothing says what helps.",
        before: "valid when: {float: {is: steady}}",
        after: "valid when: {float: {is: steady}}\nnot valid: {because: Wait until the float stands still, go: fill}",
    },
    Explanation {
        code: "repairs-ruled-out",
        what: "An outcome leads to the repair of a cause, and rules that same cause out.",
        why: "The page would say of one cause that it was repaired and that it cannot be. One of the two is a slip.",
        before: "go: {repair: joint}, rules out: [joint, tank]",
        after: "go: {repair: joint}, rules out: [tank]",
    },
    Explanation {
        code: "wide-error",
        what: "The error of a reading is as large as all that is plausible for it; or it, or the accuracy of its gauge, is half \
               of what is read and more.",
        why: "Wherever it stands, it may as well stand on the other side of any limit: the step is always unsure.",
        before: "start: {ask: Gauge, unit: kPa, plausible: 0..10 kPa, error: 20 kPa}",
        after: "start: {ask: Gauge, unit: kPa, plausible: 0..10 kPa, error: 0.2 kPa}",
    },
    Explanation {
        code: "no-effect",
        what: "`effect` names a place, a valve or a sensor that is not on the simulated car. A hole lies at the word that \
               stands after `system`, or at intake; which part of it leaks is said under `shows`.",
        why: "Physics then moves no reading, the cause looks like a sound car, and whatever is read speaks for another \
              cause.",
        before: "system: fuel tank\n...\neffect: {hole: 1..4 mm at neck}",
        after: "system: fuel tank\n...\neffect: {hole: 1..4 mm at fuel tank}\nshows: {seen-at: {neck: very likely}}",
    },
    Explanation {
        code: "far-off",
        what: "What a cause or a sound car shows lies wholly outside of what is plausible for the reading, or of what plausible \
               readings can be worked to; or it is a hole or a time of a size that no workshop meets.",
        why: "A digit or a unit has slipped. The cause is then never found, since no reading ever looks like it.",
        before: "shows: {hole: 2000..20000 mm}",
        after: "shows: {hole: 2..20 mm}",
    },
    Explanation {
        code: "unguarded-supply",
        what: "A supply is on: a step outside of the phase pressurise reads a pressure that has no limit, or nothing in the \
               whole flow has one.",
        why: "Only the phase pressurise is asked for openings that are closed first. A pressure that is fed in can be too \
              high in any phase, and nothing would stop the step.",
        before: "phase: inspect\nrecord: [pressure]        # pressure: {ask: Gauge, unit: kPa, plausible: 0..50 kPa}",
        after: "phase: pressurise\nrecord: [pressure]        # pressure: {..., never above: 20 kPa}",
    },
    Explanation {
        code: "goes-round",
        what: "By what `healthy` or a cause shows, such a car never comes to an end. Whatever is read on it within what \
               is said there, every way that it can take leads back to where it was. Or a way leads on to the very flow that it is in.",
        why: "The sound car is the one that every test must let go. Here the technician repeats the test until the day is \
              over.",
        before: "healthy: {kept: 95 % .. 100 %}\n...\n- {id: holds, when: {kept: {at least: 90 %}}, because: It holds, go: plug}",
        after: "healthy: {kept: 95 % .. 100 %}\n...\n- {id: holds, when: {kept: {at least: 90 %}}, because: It holds, go: done}",
    },
    Explanation {
        code: "wrong-repair",
        what: "An outcome asks for what one cause shows, and leads to the repair of another that does not show it. Most often a \
               line that was copied, with its end, or two ends that were interchanged. A cause that says nothing of a reading shows \
               there what a sound car shows. Or a sound car, by all that `healthy` \
               says, comes to no end but a repair.",
        why: "A sound part is renewed, and the one at fault stays in the car.",
        before: "- {id: tank, when: {seen: {is: end tank}}, because: It shows at the tank, go: {repair: joint}}",
        after: "- {id: tank, when: {seen: {is: end tank}}, because: It shows at the tank, go: {repair: tank}}",
    },
    Explanation {
        code: "rules-out-shown",
        what: "An outcome asks for what a cause all but certainly shows, and a sound car never does, and rules that very cause \
               out.",
        why: "The record says that the part is sound when it was just found to be bad.",
        before: "- {id: joint, when: {seen: {is: joint}}, because: It shows at the joint, go: done, rules out: [joint]}",
        after: "- {id: joint, when: {seen: {is: joint}}, because: It shows at the joint, go: {repair: joint}}",
    },
    Explanation {
        code: "odds-too-high",
        what: "Odds that add up to more than can be meant: words of one answer to more than 100 %, of which only one can be \
               given; places to more than 150 %, of which a cause shows at one on each car, though their odds are seldom \
               weighed against one another; or the causes to more than 200 %. Causes can stand together, so up to there \
               nothing is said.",
        why: "What is likely on every car tells nothing on any: the ranking begins with several faults in each.",
        before: "seen: {even: 80 %, one differs: 60 %}",
        after: "seen: {even: 80 %, one differs: 15 %}",
    },
    Explanation {
        code: "nothing-said",
        what: "An outcome that leads to a repair hangs on something of which neither `healthy` nor any cause says what it \
               shows.",
        why: "The odds, the suggested next test and the practice cars come from that alone: none of them knows of this reading.",
        before: "causes: {joint: {odds: likely, repair: refit it, shows: {kept: 20 % .. 80 %}}}\n...\n\
                 - {id: loose, when: {play: {is: loose}}, because: It is loose, go: {repair: joint}}",
        after: "causes: {joint: {odds: likely, repair: refit it, shows: {kept: 20 % .. 80 %, play: {loose: very likely}}}}",
    },
];
