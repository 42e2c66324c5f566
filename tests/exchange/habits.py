# ruff: noqa: E501
"""Small sheets with other firms' habits, for the tests; all people, places and numbers invented."""

import datetime as dt
import io

import openpyxl
from openpyxl.comments import Comment
from openpyxl.styles import Font

SEMICOLONS = """Fernhill Drainage - list of systems as of 11/1/2025;;;;;;;
;;;;;;;
Street;Homeowner;Tel.;Pit depth (in);HP;Put in;Price;What we found
NORTH SIDE;;;;;;;
12 Oxbow Ct;Juno & Cosmo Greenlaw;253-555-0101 x12;48;1/3;6/8/18;450;"weep hole missing
call first"
14 Oxbow Ct;"Stonecrop, Ivor";253.555.0102;4 ft;1/2 hp;Oct. 23rd '13;500;2 pits
16 Oxbow Ct;Maple Court HOA;555-0103;54;900;last week;;
18 Oxbow Ct;Pearl Ashgrove;N/A;999;?;2/2027;;tenant: call office
Street;Homeowner;Tel.;Pit depth (in);HP;Put in;Price;What we found
SOUTH SIDE;;;;;;;
20 Oxbow Ct;"Kit Lowmoor; Beryl Lowmoor";(253) 555-0104 / 253 555 0105;1,22 m;0,25 kW;winter 2019;;=SUM(A1)
22 Oxbow Ct;Otis Thornby;;#REF!;"=1/2";41570;;
;Thora Nobody;253-555-0109;48;1/2;2019;;
Total: 6 systems;;;;;;;
"""
THREE_HEADER_ROWS = """Customer\tStreet\tPit\t\tPump\t\t\tCheck valve
\t\tDepth\tWidth\thp\tInstalled\tBase\t
\t\tft\tin\t\t\t\t
Juno Greenlaw\t12 Oxbow Ct\t4\t36\t1/2\t2019\tloose rock\tyes
"\t"\t5\t36\t1/3\t2020\tpavers\tflat
Ivor Holmby\t14 Oxbow Ct\t4'6"\t36\t3/4\tJan 2021\t?\tno
same\t16 Oxbow Ct\t4\t30\t1/2\t2018\tblock\tupright
"""
PIPES = """ID|Name|Addr|Pump|Outlet|Join|Fabric|Alarm|Backup|Lid covered by
1|Greenlaw|1 Elm Rd|1/2 hp Harrow M5, 40 gpm @ 10 ft|pop up|wye|nonwoven|y|battery|
2|Stonecrop|2 Elm Rd|none|daylight|T|landscape|no|none|pavers
3|Holmby|3 Elm Rd|0.5|curb|?|none|yes - beeps|generator|
4|Ashby|4 Elm Road|1/3 hp|pop-up|tee|none|yes|none|
5|Ashby|4 Elm Rd|1/3 hp|pop-up|tee|none|yes|none|
6|Millard|6 Elm Rd, rear|1/3 hp|pop-up|tee|none|yes|none||oops
"""
CUSTOMER_BOOK = """"Lowmoor Drywells - Customer book"
Last revised 10/1/2025

Name / Spouse,Service Address,City,State,Zip,Home Ph,Cell Ph,E-mail Address,Dry Well Dims,Depth of Well,Pump HP,GPM,Date Inst.,Chk Valve,Weep,Disch. To,Batt Bkup?,Notes / Special Instr.
"Thornby, Nova & Rafe",377 Greengage Ln,Harbor,WA,98001,253-555-0130,,nova@example.com; rafe@example.com,4' x 4',48",1/2,38 gpm @ 10 ft,"Mar 5, 2015",Y,N,popup,No,gate code 4417#
The Oxenham Family,12 Islay Ct,,,,,"(360) 555-0109, ext 4",oxenham@example,48 x 48 in,4.0',.33,,2009-04,"Yes - flat",3/16",daylight @ ditch,battery,pea gravel used
Kirkbeck (tenant: Holmby),934 Fernhill St,,,,call office,,none,,unk,TBD,,mid 2014,?,,,,SOLD 2022 - new owner?
"Smith Rentals, LLC",1 Plover Rd Unit B,,,,253.555.0195 or 253.555.0196,,ap@example.com,3x3x4 ft,,1/4hp,,99,no,yes,neighbor's main,gen,"no weep hole in neighbor's pump, ours ok"
Ivor Millard,2 Plover Rd,,,,2535550101,,,,4 ft 6,1/3 h.p.,2400 gph,10/2020,upright,drilled,,,"was on gravel, now on a paver block"
"Ironside, Kit",3 Plover Rd,,,,,,,,4-5 ft,1/2 or 1/3,,2019-2020,,,,,@home ask first
"=HYPERLINK(""http://x"")",4 Plover Rd,,,,,,,,40',,,,,,,,
Juno Ashgrove,,,,,253-555-0111,,,,4',1/2,,2019,,,,,
"Pearl Ashgrove",TBD,,,,253-555-0112,,,,4',1/2,,2019,,,,,
,7 Plover Rd,,,,253-555-0113,,,,4',1/2,,2019,,,,,
Magnus Birkmoor,8 Plover Rd,,,,253-555-0114,,,,4',1/2,,2019,,,,,
Magnus Birkmoor,8 Plover Rd,,,,253-555-0114,,,,5',1/2,,2019,,,,,
"Birkmoor, Magnus",8 Plover Road,,,,253-555-0114,,,,48 in,0.5,,2019,,,,,
** struck rows are old customers **,,,,,,,,,,,,,,,,,
AVERAGE,,,,,,,,,4.1,,,,,,,,
"""
DAY_FIRST_LOG = """Route 2 inspections - autumn
Visited;Address;Homeowner;Sludge depth;Time to drain;Pump;Tech;Remarks
3.10.2024;12 Islay Ct;Oxenham;2 cm;6 h;ran;KL;
";";";3 cm;;ran;KL;second look same day
13.10.2024;14 Islay Ct;Dellwood;1,5 cm;0,5 d;did not run;KL;float stuck
14/10/24;";";0;1 day;yes;KL;
Oct 2024;16 Islay Ct;Cobbett;trace;still full;no power;KL;landscape fabric
yesterday;18 Islay Ct;Cobbett;9999;72;OK;KL;
31/11/2024;20 Islay Ct;Cobbett;-1 cm;2-3 hrs;n/t;KL;
2024-12-05;22 Islay Ct;Cobbett;1/2";45 min;Y;KL;needs check valve
;24 Islay Ct;Cobbett;1 in;45 min;Y;KL;
"""
FIRST_AND_LAST = """Last Name,First Name,House No,Street,Ph,Size,Date,Amt Due
Greenlaw,Juno & Cosmo,12,Oxbow Ct,253-555-0101,1/2 hp,6/2018,10.00
Stonecrop,,14,Oxbow Ct,juno@example.com,1/3 hp,2019,
Maple Court HOA,,16,Oxbow Ct,2535550103,3/4hp,Spring 2020,5
"""
NAME_ONCE = """Client,Site,Pit,Pump,Installed,Comments
Juno Greenlaw,12 Oxbow Ct,4 ft,1/2 hp,2019,front
,,5 ft,1/3 hp,2020,back
,14 Oxbow Ct,4 ft,1/2 hp,2019,
,,,,,call before 9

,,4 ft,1/2 hp,2019,after a gap
"""

INVENTORY = """SYSTEM INVENTORY,,,,,,,,,
Owner,Property Address,Telephone(s),Depth (ft.),Pump (HP),Flow rate,Year,Check Valve Position,Pump set on,Misc.
"O'Hara, Nova",1 Elm Rd,(253)555-0101,4.5,1/2,40 gpm,2015,upright in pit,Concrete paver,"per wife: valve was replaced 2019, now upright"
"Thornby-Lee, Kit",2 Elm Rd,253 555 0102 ext 7,54,0.5,38 gpm at 12',2016,on its side,loose rock,4" silt last visit
"Ashby, Mr. & Mrs. O.",3 Elm Rd,253-555-0103 / (253) 555-01O4,-3,1/3,,16,buried,gravel,"Cosmo says no check valve, have to verify"
Cobbett,4 Elm Rd,,4'-6",¾,,2016/05,laying flat,,Two pumps in pit. Backup battery dead
Peverell Thora,5 Elm Rd,253-555-0105,4.5',1/2 HP,35GPM,Jun-16,vertical,block,"no  weep  hole, NO CHECK VALVE"
"Millard",6 Elm Rd,253-555-0106,six,5,,June 31 2016,?,brick,tenant Rafe 253-555-0199
"Ironside, Rafe","7 Elm Rd, Apt 2",253-555-0107,1.2 m,370 W,2.5 l/s,5/16/2016,upright,flat stone,ck valve o.k.; daylights @ creek
"Oxenham, Ivor",8 Elm Rd,253-555-0108,4 ft,1/2 hp,,31.12.2016,upright,base,removed pump 2020
"Birkmoor, Otis",9 Elm Rd,253-555-0109,4 ft,1/2 hp,,11/4/2025,upright,base,
"Birkmoor, Otis",9 Elm Rd,253-555-0109,4 ft,1/2 hp,,,upright,base,
,,,,,,,,,
Grand Total:,9,,,,,,,,
Prepared by Otis Ironside 10/30/2025,,,,,,,,,
"""
TAB_LOG = """Date\tClient\tAddr\tSed.\tDraw-down\tPump on test\tOutlet flow\tAmps\tCondition
1/5/24\tHolmby\t3 Oxbow Ct\t2 1/2 in\t3 days\tOK\t35 gpm\t4.2 A\tvalve on side
1/6/24\tHolmby, E\t3 Oxbow Ct\t2½"\t3d\tOK\t36\t4.2\t
1/7/24\tCobbett\t5 Oxbow Ct\tn/a\tabout 5 hrs\tX\t\t\tcould not open lid
1/8/24\tCobbett\t7 Oxbow Ct\t-\t30min\tPASS\t30 gpm\t5 amps\tno access, dog
1/8/24\t\t7 Oxbow Ct\t1in\t\t\t\t\t
Jan 9\tMillard\t9 Oxbow Ct\t0.5'\t12hrs.\tFail\t\t\tpump dead
"""


def workbook():
    """A list with a hidden row, a struck cell, a comment and formulas; logs by number and by name."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Systems"
    for row in (
        ["Fernhill wells"],
        ["No.", "Client", "Job site", "Cell", "Depth", "hp", "Installed", "Base", "Comments", "Cost"],
        [1, "Greenlaw, Juno", "12 Oxbow Ct, Tacoma, WA 98402", 2535550101, 4.5, 0.5, dt.datetime(2018, 6, 8), "loose gravel", "OK", 1200],
        [2, "Stonecrop", "14 Oxbow Ct", "253-555-0102", "4'", 0.33, 2019, "paver", "valve was laying flat", "=J3*2"],
        [3, "Holmby", "16 Oxbow Ct", None, "=12*4", 0.5, "Aug 2011", "block"],
        [None, None, None, "360-555-0103", None, None, None, None, "wife"],
        ["PHASE 2"],
        [4, "Ashby, A & B", "18 Oxbow Ct", "253-555-0104", "3' 6\"", "1/2 hp", "spring of '19", "?", "hidden row"],
        [5, "Lowmoor", "20 Oxbow Ct", "253-555-0105", "48 in", "3/4 hp", "10/2020", "slab"],
        [6, "Cobbett", "22 Oxbow Ct", "253-555-0106", "48 in", "3/4 hp", "10/2020", "slab"],
        [None, None, None, None, "36 in", "1/3 hp", "2021", "slab", "back yard"],
        ["Total", None, None, None, "=SUM(E3:E9)"],
    ):  # fmt: skip
        sheet.append(row)
    sheet.row_dimensions[8].hidden = True
    sheet["E9"].comment = Comment("measured by Otis, could be 5 ft", "Otis")
    sheet["F9"].font = Font(strike=True)
    for column in "ABC":
        sheet.merge_cells(f"{column}10:{column}11")
    visits = book.create_sheet("Visits")
    for row in (
        ["System #", "Date", "Silt (in)", "Hrs to drain", "Pump ran?", "By", "What"],
        [1, dt.datetime(2024, 3, 4), 2.5, 9, "Y", "Otis", None],
        [2, "3/5/24", '1"', "overnight", "dead", "Otis", "pump seized"],
        [9, "3/5/24", '1"', "4:30", "Y - noisy", "Otis", ""],
        [1, dt.datetime(2024, 3, 4), 2.5, 9, "Y", "Otis", None],
        [1, dt.datetime(2024, 3, 4), 3.5, 9, "Y", "Otis", None],
        ["3", "44991", '½"', "1.5 days", "yes", "O", "check valve sideways"],
    ):
        visits.append(row)
    old = book.create_sheet("Old")
    old.append(["Name", "Address"])
    old.append(["Nobody Now", "1 Elm Rd"])
    old.sheet_state = "hidden"
    prices = book.create_sheet("Prices")
    prices.append(["pump", "price"])
    prices.append(["1/2 hp", 300])
    by_name = book.create_sheet("By name")
    for row in (
        ["Customer", "Visited", "Silt", "Pump works"],
        ["Stonecrop", "5/7/2023", "2 cm", "no"],
        ["Nobody", "5/8/2023", "1 in", "ok"],
    ):
        by_name.append(row)
    return saved(book)


def hidden_column():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Name", "Address", "Pit depth", "Cell"])
    sheet.append(["Juno Greenlaw", "12 Oxbow Ct", "4 ft", "253-555-0101"])
    sheet.column_dimensions["C"].hidden = True
    return saved(book)


def saved(book):
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


ALL = {
    "semicolons.csv": SEMICOLONS.encode("cp1252"),
    "three_header_rows.txt": THREE_HEADER_ROWS.encode("utf-16"),
    "pipes.csv": PIPES.encode(),
    "customer_book.csv": CUSTOMER_BOOK.encode("utf-8-sig"),
    "day_first_log.csv": DAY_FIRST_LOG.encode(),
    "first_and_last.csv": FIRST_AND_LAST.encode(),
    "name_once.csv": NAME_ONCE.encode(),
    "inventory.csv": INVENTORY.encode("utf-8"),
    "tab_log.txt": TAB_LOG.encode("cp1252"),
    "workbook.xlsx": workbook(),
    "hidden_column.xlsx": hidden_column(),
}
