"""The days outside the firm's own pages: what the client is told, and what calendars read.

- `client_days` are the days in the words of the paper, kept as they were told; `tell` sends them, with an
  event in the history of the signed estimate and a mail.
- `calendar` keeps the entries of calendars, each with its UID, and writes them as RFC 5545 files.
"""
