"""The estimator's room: what the day's metal costs, whose waste it is, what is quoted, and what became of it.

rounding        whole cents, and who gets the odd ones
measures        the metal of each plate and of each sheet, by class
account         the account's lines, from which every sum is made
sums            lines added up: by plate, job, flat, day and class
coalitions      what some of a flat's jobs would take without the others
marginal        average shares over all orders of arrival
sharing_waste   what a flat wastes, given out to its jobs
telling         the account as text, CSV and JSON
counting        which area of a plate is charged, and how its fractions count
charging        a plate's price from the house's table
quoting         the metal of jobs that are not planned yet, alone and with the day
telling_quote   the quote as text and JSON
choices         the sheets that a day could be laid on, on hand and to be bought
laying_mixes    one material laid on one mix of sheets
mixes           which mixes are tried, and when the cheapest is found
comparing       the day on every choice of sheets
telling_compare the comparison as text, JSON and a page
actual          what was really cut, and the difference by cause
telling_actual  the difference as text and JSON
pages           account, quotation and difference as pages to be printed
paging          a list that is longer than its paper, page by page
"""
