"""Chassis-to-port clearance: does the outermost corner clear the tube wall, and the stack clear the cap?"""
