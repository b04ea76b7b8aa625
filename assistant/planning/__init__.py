"""Sessions built from the ladders: who the client is, where each movement starts, what fits in the time."""
