"""Rule packs: rules, thresholds, shared quantities, sources and examples as data; loading and checking them."""
