"""Management commands: `demo`, `estimate` and `verify_documents`.

A command reads its options and files, calls what decides (`estimating.demo`, `estimating.estimate_file`,
`estimating.documents`, `estimating.verification`), and prints; it holds no rules of its own.
"""
