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
(plate 169.4 mm by 156.7 mm)
(RISK: at the first touch-off nothing tells a slat from the plate: look.)
(An error at a line with a root means: that touch-off was not plausible.)
(proof: machine = contact-float-mm 057e95644a996518)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 169.400 156.700 mm)
(proof: mode = cut)
(proof: drawing = pump-flange.dxf 450693947c2e597c)
(proof: units = 25.4 mm header)
(proof: shift = 84.7000 72.0000 mm turn 0 deg)
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
G0 X37.9563 Y45.0125
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
G3 X37.9563 Y51.4312 I0 J3.2094 F1320
G3 X31.5375 Y45.0125 I0 J-6.4188
G3 X44.375 Y45.0125 I6.4188 J0
G3 X37.9563 Y51.4312 I-6.4187 J0
G3 X36.9603 Y51.3535 I-0.0003 J-6.419
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
G0 X84.7 Y18.025
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
G3 X84.7 Y24.4438 I0 J3.2094 F1320
G3 X78.2812 Y18.025 I0 J-6.4188
G3 X91.1187 Y18.025 I6.4188 J0
G3 X84.7 Y24.4438 I-6.4188 J0
G3 X83.704 Y24.366 I0.0004 J-6.419
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
G0 X131.4437 Y45.0125
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
G3 X131.4437 Y51.4313 I0 J3.2094 F1320
G3 X125.025 Y45.0125 I0 J-6.4188
G3 X137.8625 Y45.0125 I6.4188 J0
G3 X131.4437 Y51.4313 I-6.4188 J0
G3 X130.4478 Y51.3535 I0.0004 J-6.4184
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
G0 X131.4437 Y98.9875
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
G3 X131.4437 Y105.4062 I0 J3.2094 F1320
G3 X125.025 Y98.9875 I0 J-6.4187
G3 X137.8625 Y98.9875 I6.4188 J0
G3 X131.4437 Y105.4062 I-6.4188 J0
G3 X130.4478 Y105.3285 I-0.0002 J-6.4183
M5
G4 P0.3
G0 Z11.5
(cut 5 of 8: hole, feature 2, path 12.838 x 12.838 mm)
(part pump-flange, hole 3 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X84.7 Y125.975
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
G3 X84.7 Y132.3938 I0 J3.2094 F1320
G3 X78.2812 Y125.975 I0 J-6.4188
G3 X91.1187 Y125.975 I6.4188 J0
G3 X84.7 Y132.3938 I-6.4188 J0
G3 X83.704 Y132.316 I0.0004 J-6.419
M5
G4 P0.3
G0 Z11.5
(cut 6 of 8: hole, feature 3, path 12.837 x 12.838 mm)
(part pump-flange, hole 4 D14.29)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X37.9563 Y98.9875
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
G3 X37.9563 Y105.4062 I0 J3.2094 F1320
G3 X31.5375 Y98.9875 I0 J-6.4188
G3 X44.375 Y98.9875 I6.4188 J0
G3 X37.9563 Y105.4062 I-6.4187 J0
G3 X36.9603 Y105.3285 I-0.0003 J-6.419
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
G0 X84.7 Y94.4375
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
G3 X84.7 Y101.4375 I0 J3.5 F2200
G3 X55.2625 Y72 I0 J-29.4375
G3 X114.1375 Y72 I29.4375 J0
G3 X84.7 Y101.4375 I-29.4375 J0
G3 X83.7002 Y101.4205 I0.0005 J-29.4373
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
G0 X117.1375 Y104.4375
G0 X117.1375 Y39.5625
G0 X88.2 Y4.275
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
G3 X84.7 Y7.775 I-3.5 J0 F2200
G1 X42.5789 Y7.775
G2 X42.1781 Y7.8958 I-0.0001 J0.7251
G2 X84.7 Y148.925 I42.5219 J64.1042
G2 X127.2219 Y7.8958 I0 J-76.925
G2 X126.8211 Y7.775 I-0.4007 J0.6043
G1 X84.7 Y7.775
G1 X83.7 Y7.775
G3 X81.9148 Y7.003 I0 J-2.4501
M5
G4 P0.3
G0 Z25
M5
G0 Z25
G92.1
M2
