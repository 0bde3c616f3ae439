"""Link, signature, mail, cancellation, extension; the checker script."""
