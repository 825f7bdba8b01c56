"""Speed and memory, each figure beside a plain baseline measured in the same run: `python -m benchmarks`."""
