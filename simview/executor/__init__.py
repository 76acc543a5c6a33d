"""Who does the work.

- `threads`: how many threads this machine gives, and fine work shared out between them
- `pieces`: work that falls into whole pieces, for threads, any executor, or a cluster
- `copies`: pieces done by copies of this process, where it may be copied
- `cluster`: the same pieces on a Dask cluster
"""
