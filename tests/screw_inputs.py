"""A set screw in a thin wall, as the tests of several files ask about it. All numbers are invented."""

SCREW = {
    "hole": "M4x0.7-6H",
    "screw": "M4x0.7-6g",
    "outside": "30.0 ± 0.1",
    "bore": "25.4 H9",
    "blade": "25.0 ± 0.15",
    "screw_length": "4.0 ± 0.2",
    "point_diameter": "1.9 ± 0.1",
    "tapped": "guided",
    "wall_material": "6061-T6",
    "screw_material": "45H",
    "friction_thread": "0.15 ± 0.05",
    "friction_point": "0.3 ± 0.1",
    "friction_bore": "0.3 ± 0.1",
    "hand_torque": "0.4 ± 0.1 N·m",
    "pull": "60 N",
}
