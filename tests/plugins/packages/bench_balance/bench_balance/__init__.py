"""Reads a bench balance."""

from hilum.plugins import Plugin

PLUGIN = Plugin(
    slug="bench-balance", title="Bench balance", version="0.3.0", api=">=1.0,<2", hooks="bench_balance.hooks"
)
