"""Shortened plug: which lengths keep the power cut and still let the end cap close?"""
