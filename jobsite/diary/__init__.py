"""The diary of a job: photos, notes, weather, who was there and what came, in the order of the days.

`pages` (pure) joins what was written with what the job knows of a day anyway: its hours, deliveries and
inspections. `read` reads it for pages, papers and the client, who sees what is marked for him.

It may import `estimating.client`; billing reads it for the file of a job.
"""
