"""System checks: what a fresh machine or a half-made setting would trip over."""
