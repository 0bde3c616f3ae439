"""The plan that sums to the contract, its templates, rules by state."""
