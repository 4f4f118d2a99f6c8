"""One set of inputs a question, as the tests of several files ask. All numbers are invented."""

JOINT = {
    "external": "M36x1.5-6g",
    "internal": "M36x1.5-6H",
    "length": "7.5 ± 0.4",
    "external_material": "6061-T6",
    "internal_material": "6061-T6",
    "load": "2000 N",
}
DEPTH = {"adds": ["60 ± 0.2", "5 ± 0.1"], "takes": ["14.5 ± 0.3", "8 ± 0.1"], "at_least": "40 mm"}
PORT = {"bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.5 ± 0.2"}
PLUG = {"travel": "4.0 ± 0.2", "seat": "9.0 ± 0.2", "room": ["118.0 ± 0.3"], "takes": ["101.5 ± 0.3"]}
TUBE = {
    "external": "M36x1.5-6g-LH",
    "internal": "M36x1.5-6H-LH",
    "bore": "32 ± 0.1",
    "outside": "40 ± 0.1",
    "external_material": "6061-T6",
    "internal_material": "6061-T6",
    "seized": "25 ± 10 N·m",
}
