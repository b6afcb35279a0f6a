"""The commands, one thin function each. Everything may be imported here; nothing imports this room."""
