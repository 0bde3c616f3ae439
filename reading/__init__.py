"""How rows are read quickly: SQL that is written once a process, and what is made of rows and kept.

It knows nothing of any subject and imports none of our apps. It has no models, so it is no app of Django's.
"""
