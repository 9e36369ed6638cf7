"""How long each bone will be at a later age, and how a transferred bone grows."""
