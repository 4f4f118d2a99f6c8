"""fitcheck: screw threads, fits and tolerance stacks, checked before metal is cut.

>>> import fitcheck as fc
>>> gap = fc.dim("25.4 ± 0.05") - fc.dim("25.2 ± 0.02")
>>> gap.worst_case()
Interval(min=0.12999999999999545, max=0.2699999999999996)
"""
