"""The client's page with its files, and the firm's side of it.

May import `estimating.client`, its forms and the views shared by all jobs.
"""
