"""Campaigns on the record; `python -m tests.bench.record --help` names them."""
