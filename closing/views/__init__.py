"""Pages of the end of a job: the punch list, the certificate of completion."""
