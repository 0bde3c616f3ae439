"""Who owes what: balances, ageing, late charges, journal."""
