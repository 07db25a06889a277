"""Studies over whole runs: what a design would be with other inputs."""
