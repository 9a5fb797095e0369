"""From pictures and marks to chart coordinates: figure, camera, spread, the next click."""
