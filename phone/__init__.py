"""Work on site from the phone, also without signal.

`/on-site/` is one neutral page that the phone keeps. Its scripts (`static/phone/`) show the open jobs as the
phone fetched them last, and keep each record in the phone's own database at the moment it is typed. Records
are sent one after another, each with the key of a form, so that `saving` has each kept once; what the server
refuses stays on the phone with the sentence. What is kept of jobs ends with the sign-in.
"""
