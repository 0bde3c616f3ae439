"""The demo: an invented firm with a year of jobs, for whoever wants to look around before he begins.

It is made through the same code as the pages, with dates that count back from today, and lives in a data
folder of its own, so that no firm begins in it. Knows every app; none knows it. What it holds stands in
`demo_fixtures/`: all of it invented for the demo.
"""
