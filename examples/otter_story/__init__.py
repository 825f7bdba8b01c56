"""The invented story behind the demo programme: drawings, hidden truth, gauge rooms, and how it is played."""
