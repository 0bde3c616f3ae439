"""Verification: whether what was issued and signed still is what it was.

It reads every document, event, signature and file from the database and yields a plain sentence for each
fault: a digest, number, sum, link of the chain or unit price that doesn't agree. Nothing is changed.

It may import `estimating.documents`, `estimating.changes` and `estimating.client`; only commands and tests
import it.
"""
