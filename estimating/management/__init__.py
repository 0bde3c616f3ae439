"""Management commands: `estimate` and `verify_documents`.

A command reads its options and files, calls what decides (`estimating.estimate_file`,
`estimating.documents`, `estimating.verification`), and prints; it holds no rules of its own.
"""
