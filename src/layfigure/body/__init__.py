"""The wearer: measures, the tape, the Form, and the chart coordinates every stage shares."""
