"""Issuing: number, PDF, write protection, history."""
