"""Checks against public corpora and test suites that are not part of this repository.

They lie in a folder ``outside`` of a neighbour of this checkout, or where ``WITNESSMARK_OUTSIDE`` says;
without them the tests are skipped. ``python -m tests.outside.negation`` (and so on) prints one suite's
figures, with ``--errors`` also the rows that went wrong. Not a row of any suite is kept here.
Results: docs/accuracy.md.
"""
