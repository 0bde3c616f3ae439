"""What the client still has to choose, with what he may choose from, and what he chose.

`offers` (pure) says what each offer adds to or takes off the signed price; `choosing` reads the choices of a
job and keeps one that is made: in the history of the signed estimate with all that was shown, as a change
order that is being written where it moves the price, and as a mail to both.

It may import `estimating.changes`, `estimating.client` and `jobsite.days`; only forms, pages and the file of
a job import it.
"""
