"""Pictures of wood and of data, as shapes that paint to the screen and to paper alike.

A picture is worked out once, in whole-number units of its own box, and handed out twice: as SVG
for the page and as reportlab shapes for the PDF. Nothing here knows Django or the record.
"""
