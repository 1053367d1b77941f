(gusset)
(SAFETY: plasma arc, fumes, fire, electric shock, moving axes.)
(Local codes and licensed practice come first, stay at the stop button.)
(Power source: trigger mode not latched, or it burns on after the off word.)
(machine Contact start, floating head, mm programs)
(control RS-274/NGC as published)
(material mild steel 3 mm, 40 A)
(kerf 1.45 mm)
(feed 2200 mm/min, cut height 1.5 mm)
(float 19 mm)
(float measured at 150 mm/min, measure again after any change)
(path exact)
(Before start park the torch raised, clear of clamps, over the plate,)
(at most 60 mm above it.)
(X0 Y0 is the lower left corner of the plate.)
(plate 217 mm by 167 mm)
(RISK: at the first touch-off nothing tells a slat from the plate: look.)
(An error at a line with a root means: that touch-off was not plausible.)
(proof: machine = contact-float-mm 057e95644a996518)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 217.000 167.000 mm)
(proof: mode = cut)
(proof: drawing = gusset.dxf 17595888b9aff3e2)
(proof: units = 1 mm header)
(proof: shift = 8.5000 8.5000 mm turn 0 deg)
(proof: join = 0.05 mm)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
(cut 1 of 6: hole, feature 1, path 12.55 x 12.55 mm)
(part gusset, hole 1 D14)
(restart here: torch off, raised, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X73.5 Y30.5
G4 P0.2
G92 Z0
G38.2 Z-84 F1000
#101=#5063
#102=SQRT[0-2-#101]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M0
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X73.5 Y36.775 I0 J3.1375 F1320
G3 X67.225 Y30.5 I0 J-6.275
G3 X79.775 Y30.5 I6.275 J0
G3 X73.5 Y36.775 I-6.275 J0
G3 X72.5042 Y36.6955 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 2 of 6: hole, feature 3, path 12.55 x 12.55 mm)
(part gusset, hole 3 D14)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X30.5 Y73.5
G4 P0.2
G92 Z0
G38.2 Z-35.5 F1000
#101=#5063
#102=SQRT[0-2-#101]
#102=SQRT[4-ABS[#101+30.5]]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X30.5 Y79.775 I0 J3.1375 F1320
G3 X24.225 Y73.5 I0 J-6.275
G3 X36.775 Y73.5 I6.275 J0
G3 X30.5 Y79.775 I-6.275 J0
G3 X29.5042 Y79.6955 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 3 of 6: hole, feature 4, path 12.55 x 12.55 mm)
(part gusset, hole 4 D14)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X30.5 Y130.5
G4 P0.2
G92 Z0
G38.2 Z-35.5 F1000
#101=#5063
#102=SQRT[0-2-#101]
#102=SQRT[4-ABS[#101+30.5]]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X30.5 Y136.775 I0 J3.1375 F1320
G3 X24.225 Y130.5 I0 J-6.275
G3 X36.775 Y130.5 I6.275 J0
G3 X30.5 Y136.775 I-6.275 J0
G3 X29.5042 Y136.6955 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 4 of 6: hole, feature 5, path 42.55 x 42.55 mm)
(part gusset, hole 5 D44)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X90.5 Y94.775
G4 P0.2
G92 Z0
G38.2 Z-35.5 F1000
#101=#5063
#102=SQRT[0-2-#101]
#102=SQRT[4-ABS[#101+30.5]]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X90.5 Y101.775 I0 J3.5 F2200
G3 X69.225 Y80.5 I0 J-21.275
G3 X111.775 Y80.5 I21.275 J0
G3 X90.5 Y101.775 I-21.275 J0
G3 X89.5004 Y101.7515 I0.0001 J-21.2743
M5
G4 P0.3
G0 Z25
(cut 5 of 6: hole, feature 2, path 12.55 x 12.55 mm)
(part gusset, hole 2 D14)
(restart here: torch off, raised 25 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X114.775 Y104.775
G0 X173.5 Y30.5
G4 P0.2
G92 Z0
G0 Z-19
G38.2 Z-49 F1000
#101=#5063
#102=SQRT[0-2-#101]
#102=SQRT[4-ABS[#101+44]]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X173.5 Y36.775 I0 J3.1375 F1320
G3 X167.225 Y30.5 I0 J-6.275
G3 X179.775 Y30.5 I6.275 J0
G3 X173.5 Y36.775 I-6.275 J0
G3 X172.5042 Y36.6955 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 6 of 6: outline, feature 0, path 201.45 x 151.45 mm)
(part gusset, outline 200 x 150)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X119 Y4.275
G4 P0.2
G92 Z0
G38.2 Z-35.5 F1000
#101=#5063
#102=SQRT[0-2-#101]
#102=SQRT[4-ABS[#101+30.5]]
G1 Z[#101+2] F600
G4 P0.1
G38.2 Z[#101-1.5] F150
#102=SQRT[0.3-ABS[#5063-#101]]
G1 Z#5063 F60
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X115.5 Y7.775 I-3.5 J0 F2200
G1 X28.5 Y7.775
G2 X27.775 Y8.5 I0 J0.725
G3 X8.5 Y27.775 I-19.275 J0
G2 X7.775 Y28.5 I0 J0.725
G1 X7.775 Y152.5
G2 X14.5 Y159.225 I6.725 J0
G1 X54.5716 Y159.225
G2 X62.0967 Y156.7615 I0 J-12.725
G1 X204.0251 Y52.6806
G2 X209.225 Y42.4191 I-7.5251 J-10.2615
G1 X209.225 Y14.5
G2 X202.5 Y7.775 I-6.725 J0
G1 X115.5 Y7.775
G1 X114.5 Y7.775
G3 X112.7148 Y7.003 I0 J-2.4501
M5
G4 P0.3
G0 Z25
M5
G0 Z25
G92.1
M2
