"""The events of documents: the hash chain that they form, and the states that they lead to.

It takes kinds and data of events and gives a document's state, the sentences that pages say of it, the
hash of a link, and the breaks of a chain; of dates, whether they fit.

Pure: it imports the standard library, `catalog.money` and `estimating.plain_text`; no Django.
"""
