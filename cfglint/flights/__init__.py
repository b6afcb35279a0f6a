"""From lint to flight: test cards, the flight record beside a dump, and the proofs that hold or have gone stale."""
