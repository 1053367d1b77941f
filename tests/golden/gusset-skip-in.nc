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
(plate 8.5433 in = 217 mm by 6.5748 in = 167 mm)
(RISK: this control does not notice a touch-off that missed the plate,)
(and no program can. The arc would then be lit and cut at a wrong height.)
(Watch every touch-off, keep the optional stop on, stop by hand if in doubt.)
(proof: machine = contact-skip-mm 2e7b64307c873364)
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
G0 X2.8937 Y1.20079
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
G3 X2.8937 Y1.44783 I0 J0.12352 F51.969
G3 X2.64665 Y1.20079 I0 J-0.24704
G3 X3.14075 Y1.20079 I0.24705 J0
G3 X2.8937 Y1.44783 I-0.24704 J0
G3 X2.8545 Y1.4447 I0 J-0.24702
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
G0 X1.20079 Y2.8937
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
G3 X1.20079 Y3.14075 I0 J0.12352 F51.969
G3 X0.95374 Y2.8937 I0 J-0.24705
G3 X1.44783 Y2.8937 I0.24704 J0
G3 X1.20079 Y3.14075 I-0.24704 J0
G3 X1.16158 Y3.13762 I-0.00001 J-0.24709
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
G0 X1.20079 Y5.1378
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
G3 X1.20079 Y5.38484 I0 J0.12352 F51.969
G3 X0.95374 Y5.1378 I0 J-0.24704
G3 X1.44783 Y5.1378 I0.24704 J0
G3 X1.20079 Y5.38484 I-0.24704 J0
G3 X1.16158 Y5.38171 I-0.00001 J-0.24709
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
G0 X3.56299 Y3.7313
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
G3 X3.56299 Y4.00689 I0 J0.1378 F86.614
G3 X2.72539 Y3.16929 I0 J-0.8376
G3 X4.40059 Y3.16929 I0.8376 J0
G3 X3.56299 Y4.00689 I-0.8376 J0
G3 X3.52364 Y4.00596 I0.00011 J-0.83748
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
G0 X4.5187 Y4.125
G0 X6.83071 Y1.20079
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
G3 X6.83071 Y1.44783 I0 J0.12352 F51.969
G3 X6.58366 Y1.20079 I0 J-0.24704
G3 X7.07776 Y1.20079 I0.24705 J0
G3 X6.83071 Y1.44783 I-0.24704 J0
G3 X6.79151 Y1.4447 I0 J-0.24702
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
G0 X4.68504 Y0.16831
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
G3 X4.54724 Y0.3061 I-0.1378 J0 F86.614
G1 X1.12205 Y0.3061
G2 X1.0935 Y0.33465 I0 J0.02855
G3 X0.33465 Y1.0935 I-0.75885 J0
G2 X0.3061 Y1.12205 I0 J0.02855
G1 X0.3061 Y6.00394
G2 X0.57087 Y6.2687 I0.26477 J-0.00001
G1 X2.14849 Y6.2687
G2 X2.44475 Y6.17171 I0 J-0.50098
G1 X8.03248 Y2.07404
G2 X8.2372 Y1.67004 I-0.29627 J-0.404
G1 X8.2372 Y0.57087
G2 X7.97244 Y0.3061 I-0.26477 J0
G1 X4.54724 Y0.3061
G1 X4.50787 Y0.3061
G3 X4.43759 Y0.27571 I0 J-0.09645
M5
G4 P0.3
G0 Z0.98425
M5
G0 Z0.98425
G92.1
M30
