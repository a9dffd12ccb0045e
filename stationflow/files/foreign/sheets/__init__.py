"""Raw cells: workbooks and text files of any program, letter by letter, in any encoding."""
