"""A small sheet for lots of devices, and readings of them, shared by tests and benchmark."""

import numpy as np
import pandas as pd

TEXT = """sheet = 1
[workshop]
caliper = "0.02 mm"
[parts]
socket = "64.0 ± 0.2"
module = "14.5 ± 0.3"
slug = "8.0 ± 0.1"
screw = "36.5 ± 0.2"
bore = "32.0 +0.1/-0.0"
chassis = "31.5 ± 0.1"
floor = "118.0 ± 0.3"
carrier = "92.0 ± 0.3"
port = "9.5 ± 0.1"
[blade_depth]
adds = ["socket"]
takes = ["module", "slug"]
at_least = "41.2 mm"
screws = ["screw"]
[port_clearance]
bore = "bore"
chassis = "chassis"
width = "14.0 ± 0.2"
reach = "13.2 ± 0.2"
gap = "0.75 mm"
[plug_length]
travel = "4.0 ± 0.2"
seat = "5.6 ± 0.2"
adds = ["floor"]
takes = ["carrier", "port"]
bought = "23.0 ± 0.5"
"""


def readings(build, names, n, seed=0):
    g = np.random.default_rng(seed)
    parts = [build.parts[name] for name in names]
    return pd.DataFrame({d.name: (d.middle + d.half_width * g.uniform(-1, 1, n)).round(2) for d in parts})
