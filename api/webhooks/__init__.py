"""Addresses that are told what happened."""
