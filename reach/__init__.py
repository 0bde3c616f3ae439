"""Whether the site can be reached and is well: names, ports, mail, disk, clock, backups.

`findings` (pure) says in plain sentences what is wrong with what `probes` saw on the network and on this
machine; `site` asks all of it for this site. Knows `backup` and `estimating`; no other app knows it.
"""
