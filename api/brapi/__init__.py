"""The open Breeding API (BrAPI) v2.1 at /brapi/v2: how it reads and writes is told in README.md."""
