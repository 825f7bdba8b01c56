"""The virtual moulder: tools with hidden truth, for seeing how well decisions do against it."""
