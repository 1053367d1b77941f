(pump-flange)
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
(plate 175.3 mm by 162.6 mm)
(RISK: at the first touch-off nothing tells a slat from the plate: look.)
(An error at a line with a root means: that touch-off was not plausible.)
(proof: machine = contact-float-mm 057e95644a996518)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 175.300 162.600 mm)
(proof: mode = cut)
(proof: drawing = pump-flange.dxf 450693947c2e597c)
(proof: units = 25.4 mm header)
(proof: shift = 87.6500 74.9500 mm turn 0 deg)
(proof: join = 0.05 mm)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
(cut 1 of 8: hole, feature 4, path 12.837 x 12.837 mm)
(part pump-flange, hole 5 D14.29)
(restart here: torch off, raised, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X40.9063 Y47.9625
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
G3 X40.9063 Y54.3812 I0 J3.2094 F1320
G3 X34.4875 Y47.9625 I0 J-6.4188
G3 X47.325 Y47.9625 I6.4188 J0
G3 X40.9063 Y54.3812 I-6.4187 J0
G3 X39.9103 Y54.3035 I-0.0003 J-6.419
M5
G4 P0.3
G0 Z11.5
(cut 2 of 8: hole, feature 5, path 12.838 x 12.838 mm)
(part pump-flange, hole 6 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X87.65 Y20.975
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
G3 X87.65 Y27.3938 I0 J3.2094 F1320
G3 X81.2312 Y20.975 I0 J-6.4188
G3 X94.0688 Y20.975 I6.4188 J0
G3 X87.65 Y27.3938 I-6.4188 J0
G3 X86.654 Y27.316 I0.0004 J-6.419
M5
G4 P0.3
G0 Z11.5
(cut 3 of 8: hole, feature 6, path 12.838 x 12.838 mm)
(part pump-flange, hole 7 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X134.3937 Y47.9625
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
G3 X134.3937 Y54.3813 I0 J3.2094 F1320
G3 X127.975 Y47.9625 I0 J-6.4188
G3 X140.8125 Y47.9625 I6.4188 J0
G3 X134.3937 Y54.3813 I-6.4188 J0
G3 X133.3978 Y54.3035 I0.0004 J-6.4184
M5
G4 P0.3
G0 Z11.5
(cut 4 of 8: hole, feature 1, path 12.838 x 12.838 mm)
(part pump-flange, hole 2 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X134.3937 Y101.9375
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
G3 X134.3937 Y108.3563 I0 J3.2094 F1320
G3 X127.975 Y101.9375 I0 J-6.4188
G3 X140.8125 Y101.9375 I6.4188 J0
G3 X134.3937 Y108.3563 I-6.4188 J0
G3 X133.3978 Y108.2785 I0.0004 J-6.4184
M5
G4 P0.3
G0 Z11.5
(cut 5 of 8: hole, feature 2, path 12.838 x 12.837 mm)
(part pump-flange, hole 3 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X87.65 Y128.925
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
G3 X87.65 Y135.3438 I0 J3.2094 F1320
G3 X81.2312 Y128.925 I0 J-6.4188
G3 X94.0688 Y128.925 I6.4188 J0
G3 X87.65 Y135.3438 I-6.4188 J0
G3 X86.654 Y135.266 I0.0004 J-6.419
M5
G4 P0.3
G0 Z11.5
(cut 6 of 8: hole, feature 3, path 12.837 x 12.837 mm)
(part pump-flange, hole 4 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X40.9063 Y101.9375
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
G3 X40.9063 Y108.3562 I0 J3.2094 F1320
G3 X34.4875 Y101.9375 I0 J-6.4188
G3 X47.325 Y101.9375 I6.4188 J0
G3 X40.9063 Y108.3562 I-6.4187 J0
G3 X39.9103 Y108.2785 I-0.0003 J-6.419
M5
G4 P0.3
G0 Z11.5
(cut 7 of 8: hole, feature 0, path 58.875 x 58.875 mm)
(part pump-flange, hole 1 D60.32)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X87.65 Y97.3875
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
G3 X87.65 Y104.3875 I0 J3.5 F2200
G3 X58.2125 Y74.95 I0 J-29.4375
G3 X117.0875 Y74.95 I29.4375 J0
G3 X87.65 Y104.3875 I-29.4375 J0
G3 X86.6502 Y104.3705 I0.0005 J-29.4373
M5
G4 P0.3
G0 Z25
(cut 8 of 8: outline, feature 7, path 153.85 x 141.15 mm)
(part pump-flange, outline 152.4 x 139.7)
(restart here: torch off, raised 25 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X120.0875 Y107.3875
G0 X120.0875 Y42.5125
G0 X91.15 Y7.225
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
G3 X87.65 Y10.725 I-3.5 J0 F2200
G1 X45.5289 Y10.725
G2 X45.1281 Y10.8458 I-0.0001 J0.7251
G2 X87.65 Y151.875 I42.5219 J64.1042
G2 X130.1719 Y10.8458 I0 J-76.925
G2 X129.7711 Y10.725 I-0.4007 J0.6043
G1 X87.65 Y10.725
G1 X86.65 Y10.725
G3 X84.8648 Y9.953 I0 J-2.4501
M5
G4 P0.3
G0 Z25
M5
G0 Z25
G92.1
M2
