"""Addresses of jobs, rooms, work, prices and papers."""

job_urls: list = []
work_urls: list = []
paper_urls: list = []

urlpatterns = [*job_urls, *work_urls, *paper_urls]
