"""Stands here so that pytest lets the tests share the modules of this folder."""
