"""Files for the bookkeeper, and the whole file of a job.

It knows their headings and contents. It takes `Books` and the days of a period, or a job, and gives tables
of plain text (`csv_files`) or a snapshot for the PDF renderer (`job_file`). It imports the models,
`receivables`, `ledger` and `payment_plan`, and of `estimating` what lists and draws documents.

The whole file of a job is drawn anew from the snapshots as one tagged PDF, and names the SHA-256 of each
original: to glue the originals together would lose their tags and page numbers, and need a library more.
"""
