"""labelkit lays out, checks and prints compliant bilingual labels for favours."""

__version__ = "0.1.0"
