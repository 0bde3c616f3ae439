"""From the tape to measures: outline, faults, measures, drawing."""
