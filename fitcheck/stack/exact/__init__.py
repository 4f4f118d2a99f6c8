"""The distribution of a sum, exactly: its transform inverted, or its polynomial pieces convolved."""
