//! What is wrong with the text of the file, and with what single lines say.

use super::super::Explanation;

pub(in crate::check::explain) static EXPLANATIONS: &[Explanation] = &[
    Explanation {
        code: "too-large",
        what: "The file is larger than any flow written by hand. It is not read.",
        why: "A file of this size is most often something else under a flow's name.",
        before: "a log of scan data, saved as hose-hold.yaml",
        after: "one flow a file; a procedure that is really so long, as several flows that lead to one another",
    },
    Explanation {
        code: "no-text",
        what: "The file is no plain text in UTF-8: a document of a word processor, a picture, or text in an older encoding \
               (UTF-16, Latin-1). It is not read.",
        why: "Degree signs, umlauts and accents would be others than were written, and of a document nothing can be read at \
              all.",
        before: "hose-hold.yaml, saved as a document under another name",
        after: "hose-hold.yaml, saved in a text editor as plain text, encoding UTF-8",
    },
    Explanation {
        code: "not-yaml",
        what: "The text cannot be read as keys and values: a tab, a missing colon, a bracket or quote left open, a line \
               that is indented unlike its neighbours.",
        why: "Nothing after the slip can be understood, so this is the only finding until it is mended.",
        before: "title Hose hold",
        after: "title: Hose hold",
    },
    Explanation {
        code: "unknown-key",
        what: "A key that has no meaning at this place, most often a slip of the finger.",
        why: "What it says would be ignored without a word: a caution or a limit might be among it.",
        before: "minuets: 10",
        after: "minutes: 10",
    },
    Explanation {
        code: "missing-key",
        what: "A key that must be there is not.",
        why: "Without it the step cannot be shown or judged.",
        before: "- id: hold\n  phase: pressurise",
        after: "- id: hold\n  phase: pressurise\n  do: Shut the supply, wait a minute, read.",
    },
    Explanation {
        code: "no-value",
        what: "A key with nothing after its colon.",
        why: "It looks as if something had been said, and nothing was.",
        before: "beware:",
        after: "beware: A plug that leaks looks like a hose that leaks.",
    },
    Explanation {
        code: "wrong-shape",
        what: "A list where a word belongs, a word where a list belongs, and the like.",
        why: "The program cannot tell what was meant, and does not guess.",
        before: "outcomes: {when: always, go: hold}",
        after: "outcomes: [{when: always, go: hold}]",
    },
    Explanation {
        code: "bad-id",
        what: "An id with letters that it may not have. An id has small letters, digits and hyphens, a letter first.",
        why: "Ids are kept in jobs for years and typed on the command line; they must read the same everywhere.",
        before: "- id: Hold test",
        after: "- id: hold-test\n  title: Hold test",
    },
    Explanation {
        code: "same-id",
        what: "Two things of one kind share an id.",
        why: "A `go` that names it could mean either.",
        before: "- id: hold\n  ...\n- id: hold",
        after: "- id: hold\n  ...\n- id: hold-again",
    },
    Explanation {
        code: "bad-quantity",
        what: "A value that cannot be read: no unit, an unknown unit, a comma, a range the wrong way round.",
        why: "A limit that is read wrongly judges every car wrongly.",
        before: "plausible: 0,5..7 kPa",
        after: "plausible: 0.5..7 kPa",
    },
    Explanation {
        code: "wrong-dimension",
        what: "A value of another kind than the thing it is compared with: millimetres for a pressure, litres for a flow.",
        why: "A pressure is never at least 3 mm: the outcome would never be taken, or always.",
        before: "when: {smoke-pressure: {at least: 3 mm}}",
        after: "when: {smoke-pressure: {at least: 3 kPa}}",
    },
    Explanation {
        code: "unknown-step",
        what: "A `go` or a `retest` names a step that is not in this flow.",
        why: "The technician would be sent nowhere.",
        before: "go: hodl",
        after: "go: hold",
    },
    Explanation {
        code: "unknown-id",
        what: "A reading, a fact of the vehicle, a worked value or a gauge is named that is not declared.",
        why: "Nothing would ever be read for it, so what names it could never be judged.",
        before: "record: [end-presure]",
        after: "record: [end-pressure]",
    },
    Explanation {
        code: "unknown-calculation",
        what: "A worked value asks for a calculation that there is not. `ruleout calc --help` lists them.",
        why: "It cannot be worked out.",
        before: "kept: {ratoi: [end, start]}",
        after: "kept: {ratio: [end, start]}",
    },
    Explanation {
        code: "wrong-input",
        what: "A calculation is given an input that it does not take, or lacks one that it needs, or a result is taken \
               that it does not give.",
        why: "It cannot be worked out, or would be worked out from something else than you meant.",
        before: "total: {hole: {flow: smoke-flow}}",
        after: "total: {hole: {flow: smoke-flow, pressure: smoke-pressure}}",
    },
    Explanation {
        code: "never-worked",
        what: "A calculation refuses what it is given, or does not tell the result that is taken, whatever is read: \
               something that it needs is not given, two things are given of which only one may be, or a number \
               written into the flow lies outside its range.",
        why: "Beside the car the value would never appear, and no outcome that asks for it would ever be taken.",
        before: "idle: {raised-idle: {reading: idle-command}}",
        after: "idle: {raised-idle: {reading: idle-command, baseline: 30 %}}",
    },
    Explanation {
        code: "unknown-word",
        what: "A word that is not among those that can stand here: a choice, a place, a phase, a likelihood.",
        why: "A condition on a word that nobody can choose is never met.",
        before: "when: {float: {is: stedy}}",
        after: "when: {float: {is: steady}}",
    },
    Explanation {
        code: "unknown-caution",
        what: "A caution that is not in the program's list.",
        why: "It could not be shown, and the work would begin without it.",
        before: "cautions: [eye-protecton]",
        after: "cautions: [eye-protection]",
    },
    Explanation {
        code: "unknown-system",
        what: "The word after `system` is nearly that of a system with cautions of its own, and is not. Capitals and hyphens \
               make no difference.",
        why: "The checker asks for the cautions of the system that it knows by its name. Under a mistyped one it asks for \
              none, and the work begins without them.",
        before: "system: fuel vapur",
        after: "system: fuel vapour",
    },
    Explanation {
        code: "no-trouble-code",
        what: "A word among the codes of `for` is not built as trouble codes are: P, C, B or U, a figure 0 to 3, and three \
               more of 0 to 9 or A to F (SAE J2012, ISO 15031-6).",
        why: "No car ever gives it, so the flow is never offered for it.",
        before: "for: {codes: [P12]}",
        after: "for: {codes: [P0012]}",
    },
    Explanation {
        code: "unknown-cause",
        what: "A repair, or `rules out`, names a cause that the flow does not declare.",
        why: "Nobody would know what to renew, nor how long it takes.",
        before: "go: {repair: tnak}",
        after: "go: {repair: tank}",
    },
    Explanation {
        code: "circular",
        what: "Worked values that need each other.",
        why: "None can be worked out first.",
        before: "a: {sum: [b, start]}\nb: {sum: [a, start]}",
        after: "a: {sum: [end, start]}\nb: {sum: [a, start]}",
    },
    Explanation {
        code: "no-because",
        what: "An outcome does not say why it leads where it does.",
        why: "The reason is what the technician reads, what an apprentice learns, and what stands in the handover.",
        before: "{id: loose, when: {seen: {is: joint}}, go: {repair: joint}}",
        after: "{id: loose, when: {seen: {is: joint}}, because: It shows at a joint, go: {repair: joint}}",
    },
    Explanation {
        code: "unknown-flow",
        what: "An outcome leads on to a flow that is neither among the files checked nor on the shelf.",
        why: "The technician would be told to go on with a procedure that is not there.",
        before: "go: {flow: intake-leek}",
        after: "go: {flow: intake-leak}",
    },
    Explanation {
        code: "same-flow",
        what: "Two files hold a flow with one id.",
        why: "Only one of them is offered, and it may be the old one.",
        before: "flow: hose-hold    (in two files)",
        after: "flow: hose-hold-turbo    (in one of them)",
    },
    Explanation {
        code: "hidden-words",
        what: "Words after a blank and a number sign are a comment, and end the value before them.",
        why: "The technician never sees them.",
        before: "do: Plug hose #3 at both ends.",
        after: "do: \"Plug hose #3 at both ends.\"",
    },
];
