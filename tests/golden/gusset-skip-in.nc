(gusset)
(SAFETY: plasma arc, fumes, fire, electric shock, moving axes.)
(Local codes and licensed practice come first, stay at the stop button.)
(Power source: trigger mode not latched, or it burns on after the off word.)
(machine Contact start, floating head, control with a plain skip move)
(control plain skip move)
(material mild steel 0.1181 in = 3 mm, 40 A)
(kerf 0.0571 in = 1.45 mm)
(feed 86.61 in/min = 2200 mm/min, cut height 0.0591 in = 1.5 mm)
(float 0.748 in = 19 mm)
(float measured at 5.91 in/min = 150 mm/min, measure again after any change)
(path exact)
(Before start park the torch raised, clear of clamps, over the plate,)
(at most 2.3622 in = 60 mm above it.)
(X0 Y0 is the lower left corner of the plate.)
(plate 8.7756 in = 222.9 mm by 6.8071 in = 172.9 mm)
(RISK: this control does not notice a touch-off that missed the plate,)
(and no program can. The arc would then be lit and cut at a wrong height.)
(Watch every touch-off, keep the optional stop on, stop by hand if in doubt.)
(proof: machine = contact-skip-mm 2e7b64307c873364)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 222.900 172.900 mm)
(proof: mode = cut)
(proof: drawing = gusset.dxf 17595888b9aff3e2)
(proof: units = 1 mm header)
(proof: shift = 11.4500 11.4500 mm turn 0 deg)
(proof: join = 0.05 mm)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
(cut 1 of 6: hole, feature 1, path 0.4941 x 0.4941 in = 12.55 x 12.55 mm)
(part gusset, hole 1 D14)
(restart here: torch off, raised, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X3.00984 Y1.31693
G4 P0.2
G92 Z0
G31 Z-3.26772 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M0
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.00984 Y1.56398 I0 J0.12352 F51.969
G3 X2.7628 Y1.31693 I0 J-0.24704
G3 X3.25689 Y1.31693 I0.24704 J0
G3 X3.00984 Y1.56398 I-0.24705 J0
G3 X2.97064 Y1.56085 I0 J-0.24702
M5
G4 P0.3
G0 Z0.45276
(cut 2 of 6: hole, feature 3, path 0.4941 x 0.4941 in = 12.55 x 12.55 mm)
(part gusset, hole 3 D14)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X1.31693 Y3.00984
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X1.31693 Y3.25689 I0 J0.12352 F51.969
G3 X1.06988 Y3.00984 I0 J-0.24705
G3 X1.56398 Y3.00984 I0.24705 J0
G3 X1.31693 Y3.25689 I-0.24705 J0
G3 X1.27773 Y3.25376 I0 J-0.24702
M5
G4 P0.3
G0 Z0.45276
(cut 3 of 6: hole, feature 4, path 0.4941 x 0.4941 in = 12.55 x 12.55 mm)
(part gusset, hole 4 D14)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X1.31693 Y5.25394
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X1.31693 Y5.50098 I0 J0.12352 F51.969
G3 X1.06988 Y5.25394 I0 J-0.24704
G3 X1.56398 Y5.25394 I0.24705 J0
G3 X1.31693 Y5.50098 I-0.24704 J0
G3 X1.27773 Y5.49785 I0 J-0.24702
M5
G4 P0.3
G0 Z0.45276
(cut 4 of 6: hole, feature 5, path 1.6752 x 1.6752 in = 42.55 x 42.55 mm)
(part gusset, hole 5 D44)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X3.67913 Y3.84744
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.67913 Y4.12303 I0 J0.1378 F86.614
G3 X2.84154 Y3.28543 I0 J-0.8376
G3 X4.51673 Y3.28543 I0.8376 J0
G3 X3.67913 Y4.12303 I-0.8376 J0
G3 X3.63978 Y4.12211 I-0.00011 J-0.83748
M5
G4 P0.3
G0 Z0.98425
(cut 5 of 6: hole, feature 2, path 0.4941 x 0.4941 in = 12.55 x 12.55 mm)
(part gusset, hole 2 D14)
(restart here: torch off, raised 0.9843 in = 25 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X4.63484 Y4.24114
G0 X6.94685 Y1.31693
G4 P0.2
G92 Z0
G0 Z-0.7874
G31 Z-1.88976 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X6.94685 Y1.56398 I0 J0.12352 F51.969
G3 X6.6998 Y1.31693 I0 J-0.24705
G3 X7.1939 Y1.31693 I0.24705 J0
G3 X6.94685 Y1.56398 I-0.24705 J0
G3 X6.90765 Y1.56085 I0 J-0.24702
M5
G4 P0.3
G0 Z0.45276
(cut 6 of 6: outline, feature 0, path 7.9311 x 5.9626 in = 201.45 x 151.45 mm)
(part gusset, outline 200 x 150)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X4.80118 Y0.28445
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X4.66339 Y0.42224 I-0.13779 J0 F86.614
G1 X1.23819 Y0.42224
G2 X1.20965 Y0.45079 I0 J0.02854
G3 X0.45079 Y1.20965 I-0.75886 J0
G2 X0.42224 Y1.23819 I0 J0.02854
G1 X0.42224 Y6.12008
G2 X0.68701 Y6.38484 I0.26477 J-0.00001
G1 X2.26463 Y6.38484
G2 X2.56089 Y6.28785 I0 J-0.50098
G1 X8.14863 Y2.19018
G2 X8.35335 Y1.78619 I-0.29626 J-0.40399
G1 X8.35335 Y0.68701
G2 X8.08858 Y0.42224 I-0.26477 J0
G1 X4.66339 Y0.42224
G1 X4.62402 Y0.42224
G3 X4.55373 Y0.39185 I-0.00001 J-0.09646
M5
G4 P0.3
G0 Z0.98425
M5
G0 Z0.98425
G92.1
M30
