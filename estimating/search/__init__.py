"""The one search over jobs, clients, papers, materials and assemblies.

It reads rows and names the page of each; only pages import it.
"""
