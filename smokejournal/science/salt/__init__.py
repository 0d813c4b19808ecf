"""Salt and nitrite in meat: brines, cures, diffusion. It reads no recipe."""
