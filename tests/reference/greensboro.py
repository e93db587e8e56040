"""Writes the weather of examples/sparrow-court from the public TMY3 file of Greensboro (station 723170).

    python3 greensboro.py 723170TYA.CSV > ../../examples/sparrow-court/weather/greensboro.csv

Keeps the columns that mateline reads and nothing else. A row's time is the beginning of its hour: the file's stamps end it.
"""
import csv
import sys

with open(sys.argv[1], newline="") as file:
    station, names, *rows = csv.reader(file)
place = {name: number for number, name in enumerate(names)}
print(f"""\
# place: {station[1]} {station[2]}
# latitude: {station[4]}
# longitude: {station[5]}
# zone: {float(station[3]):g}
# elevation: {station[6]} m
# stamps: start
# origin: TMY3, station {station[0]}, published by a national laboratory of the United States; a work of its government, in the
#   public domain. Only these columns are kept, and none is changed; each month is of a year of its own. A typical year is
#   milder than a long record and says nothing of any year to come.
time,temperature [C],humidity [%],wind [m/s],ghi [W/m2],dni [W/m2],dhi [W/m2]""")
for row in rows:
    month, day, _ = row[0].split("/")
    hour = int(row[1].split(":")[0]) - 1
    cell = lambda name: row[place[name]]
    values = ["Dry-bulb (C)", "RHum (%)", "Wspd (m/s)", "GHI (W/m^2)", "DNI (W/m^2)", "DHI (W/m^2)"]
    print(f"{month}-{day} {hour:02}:00,{','.join(f'{float(cell(name)):g}' for name in values)}")
