"""The client's page of a whole job, and its one link.

- `links` says who holds which link, makes it, and withdraws it.
- `text_message` is the link as a text message that the firm sends from its own phone.
- `page` gathers what the page shows.
"""
