"""Set-screw strip risk: a short screw in a thin round wall, turned by hand."""
