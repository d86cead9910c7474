"""The rack: offcuts that are kept from day to day, which plan used them, and which plan made them.

records   what a rack file says, and what is wrong with one that was edited by hand
history   who took what and added what; does it add up to what lies there?
text      a rack as the text of its file
days      what a day's plan may use, what it took and added, and planning a day again
stock     what a piece counts for, and the house with its pieces as sheets
looking   what the rack would offer orders that are quoted for or compared
keeping   rack and output folder written together, by one at a time
telling   the rack as text and JSON
page      what to fetch and what to keep, to be printed
"""
