"""EN 16931: model, faults, CII, UBL."""
