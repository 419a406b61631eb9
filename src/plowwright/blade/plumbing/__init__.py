"""Plumbing of a blade: which hose goes where, how long, with which threads and couplers, and which way the lever works.

`plumb.py` puts it together; `runs.py` lays hoses, `places.py` says where ports sit and how they move, `threads.py`
reads threads, `coupling.py` matches couplers, `judging.py` makes the findings.
"""
