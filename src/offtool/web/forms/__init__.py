"""What people fill in. A form checks what it alone can know; the rest is said by the step, at the field."""
