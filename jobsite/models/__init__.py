"""The rows of the site: planned days, hours, receipts."""
