//! Examples of the calculations, each of which gives a result.

use super::Example;

/// By the words of the command.
pub static CALCULATIONS: &[(&str, &[Example])] = &[
    (
        "calc hole",
        &[(
            "ruleout calc hole --flow \"2.3 L/min\" --pressure \"14 inH2O\"",
            "the opening that passes this flow",
        )],
    ),
    (
        "calc flow",
        &[(
            "ruleout calc flow --hole \"0.5 mm\" --pressure \"14 inH2O\" --gas nitrogen",
            "what a hole passes",
        )],
    ),
    (
        "calc found",
        &[(
            "ruleout calc found --open-flow \"2.3 L/min\" --open-pressure \"14 inH2O\" --covered-flow \"1.9 L/min\" --covered-pressure \"14 inH2O\"",
            "the leak under a thumb, from the flow with it open and covered",
        )],
    ),
    (
        "calc decay",
        &[(
            "ruleout calc decay --volume \"30 L\" --at \"0 s = 14 inH2O\" --at \"120 s = 8.6 inH2O\" --gas nitrogen",
            "a hold's fall of pressure, as a hole",
        )],
    ),
    (
        "calc volume",
        &[(
            "ruleout calc volume --test-hole \"0.5 mm\" --open-at \"0 s = 14 inH2O\" --open-at \"60 s = 8 inH2O\" --at \"0 s = 14 inH2O\" --at \"60 s = 13 inH2O\"",
            "the space, from a hold with a known hole open and one without",
        )],
    ),
    (
        "calc gauge",
        &[(
            "ruleout calc gauge --reading \"2 L/min\" --gas nitrogen --pressure \"14 inH2O\"",
            "what a float reads true at this pressure",
        )],
    ),
    (
        "calc equilibrium",
        &[(
            "ruleout calc equilibrium --set-pressure \"14 inH2O\" --open-flow \"10 L/min\" --hole \"1 mm\"",
            "where a limited supply and a hole settle",
        )],
    ),
    (
        "calc fill",
        &[(
            "ruleout calc fill --set-pressure \"14 inH2O\" --open-flow \"10 L/min\" --tank \"60 L\" --fuel-level \"50 %\"",
            "how long a half-full tank takes",
        )],
    ),
    (
        "calc vapour",
        &[(
            "ruleout calc vapour --from \"20 C\" --to \"21 C\"",
            "what one degree does to a closed fuel space",
        )],
    ),
    (
        "calc regulatory",
        &[(
            "ruleout calc regulatory --flow \"0.6 L/min\" --pressure \"14 inH2O\"",
            "the hole by the regulation's formula",
        )],
    ),
    (
        "calc trim-total",
        &[(
            "ruleout calc trim-total --short \"8 %\" --long \"12 %\"",
            "both trims in one",
        )],
    ),
    (
        "calc trims",
        &[(
            "ruleout calc trims --point \"3 g/s = 18 % @ 35 kPa\" --point \"11 g/s = 5 % @ 32 kPa\"",
            "unmetered air, split from a metering error",
        )],
    ),
    (
        "calc needed",
        &[(
            "ruleout calc needed --trim \"18 %\" --airflow \"3 g/s\" --manifold \"35 kPa\"",
            "the hole that this trim would need",
        )],
    ),
    (
        "calc share",
        &[(
            "ruleout calc share --hole \"0.44 mm\" --needed \"2 mm\"",
            "how much of the complaint a leak explains",
        )],
    ),
    (
        "calc air",
        &[(
            "ruleout calc air --altitude \"1500 m\"",
            "the barometer and the idle vacuum at this height",
        )],
    ),
    (
        "calc key-on",
        &[(
            "ruleout calc key-on --reading \"98 kPa\" --barometer \"100 kPa\"",
            "the manifold sensor against the barometer",
        )],
    ),
    (
        "calc sensor",
        &[
            (
                "ruleout calc sensor --point \"20 kPa = 0.8 V\" --point \"60 kPa = 2.6 V\" --point \"100 kPa = 4.4 V\"",
                "a sensor's line from a sweep",
            ),
            (
                "ruleout calc sensor --file sweep.csv",
                "the same from a capture",
            ),
        ],
    ),
    (
        "calc sensor-line",
        &[(
            "ruleout calc sensor-line --gain \"0.045 V/kPa\" --signal \"1.6 V\"",
            "the pressure that a signal stands for",
        )],
    ),
    (
        "calc ripple",
        &[(
            "ruleout calc ripple --file scope.csv --cylinders 4 --speed \"800 rpm\"",
            "the lobes of a manifold pressure capture",
        )],
    ),
    (
        "calc idle-air",
        &[(
            "ruleout calc idle-air --displacement \"1.6 L\" --speed \"800 rpm\" --manifold \"35 kPa\"",
            "the air that an engine draws at idle",
        )],
    ),
    (
        "calc raised-idle",
        &[(
            "ruleout calc raised-idle --baseline \"30 %\" --reading \"18 %\"",
            "idle control against its baseline",
        )],
    ),
    (
        "calc coil",
        &[(
            "ruleout calc coil --resistance \"24 ohm\" --nominal \"22 ohm\" --temperature \"60 C\"",
            "a winding, with its warmth reckoned in",
        )],
    ),
    (
        "calc valve",
        &[(
            "ruleout calc valve --at-rest shut --rest passes --tool passes",
            "what a valve's tests say together",
        )],
    ),
    (
        "calc code",
        &[(
            "ruleout calc code P0442",
            "what a trouble code's digits say",
        )],
    ),
    (
        "calc pid",
        &[(
            "ruleout calc pid --pid 0C --bytes \"1A F8\"",
            "a parameter's bytes as a value",
        )],
    ),
    (
        "calc vin",
        &[(
            "ruleout calc vin 1M8GDM9AXKP042788",
            "whether a vehicle number's check digit fits",
        )],
    ),
    (
        "calc ratio",
        &[(
            "ruleout calc ratio --value \"38 kPa\" --value \"40 kPa\"",
            "one quantity as a share of another",
        )],
    ),
    (
        "calc difference",
        &[(
            "ruleout calc difference --value \"18 %\" --value \"2 %\"",
            "the first less the second",
        )],
    ),
    (
        "calc sum",
        &[(
            "ruleout calc sum --value \"1 L\" --value \"500 mL\"",
            "quantities of one dimension together",
        )],
    ),
    (
        "calc convert",
        &[
            (
                "ruleout calc convert \"14 inH2O\"",
                "in all units of its dimension",
            ),
            ("ruleout calc convert \"14 inH2O\" --to kPa", "in one"),
        ],
    ),
];
