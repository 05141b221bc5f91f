"""Kits: what the trade puts on a machine circuit by circuit, as data; and a survey made of them.

A kit is one YAML file beside this one; a sort of machine is one file in ``machines``. ``harness guide kits``
explains the form.
"""
