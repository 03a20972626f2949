"""What is worked out after T0: every observation judged, every series fitted."""
