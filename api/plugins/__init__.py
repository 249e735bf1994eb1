"""Plugins as programs meet them: which there are, and the addresses that they bring."""
