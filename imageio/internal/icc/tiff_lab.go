package icc

var LabTransfer = &Transfer{Better: (&table{light: lightOfLab}).linear}
